#include "lesson_maker.h"

#include "lesson_order.h"

namespace endpin::desk {

LessonMaker::LessonMaker(book::Book& book, MarkedScores& marked, Told told)
    : book_(book),
      marked_(marked),
      told_(std::move(told)),
      jobs_([this](book::Id lesson, const std::stop_token&) { make_now(lesson); }) {}

void LessonMaker::start() {
  if (const auto lessons = book_.lessons().list({})) {
    for (const book::Lesson& lesson : *lessons) {
      if (lesson.state == "making") jobs_.add(lesson.id);
    }
  }
  jobs_.start();
}

void LessonMaker::make_now(book::Id id) {
  const auto lesson = book_.lessons().find(id);
  if (!lesson || !*lesson) return;
  const Result<void> done = write(**lesson);
  const auto folder = book_.lessons().folder(**lesson);
  auto now = book_.lessons().find(id);  // it may have been changed or deleted meanwhile
  if (!now) return;
  if (!*now) {
    std::error_code ignored;
    std::filesystem::remove_all(folder, ignored);
    return;
  }
  (*now)->state = done ? "ready" : "failed";
  (*now)->failure = done ? std::nullopt : std::optional(done.error());
  (void)book_.lessons().change(**now);
  told_(id, (*now)->state);
}

Result<void> LessonMaker::write(const book::Lesson& lesson) {
  const auto piece = book_.pieces().find(lesson.piece);
  if (!piece) return Unexpected(piece.error());
  if (!*piece) return {};
  const auto order = lesson_order(book_, marked_, **piece, lesson);
  if (!order) return Unexpected(order.error());
  return app::write_lesson(*order, book_.lessons().folder(lesson));
}

}  // namespace endpin::desk
