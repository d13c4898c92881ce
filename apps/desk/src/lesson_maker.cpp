#include "lesson_maker.h"

#include "endpin/pages/take_home.h"

#include "fields.h"

namespace endpin::desk {

LessonMaker::LessonMaker(book::Book& book, MarkedScores& marked, Told told)
    : book_(book), marked_(marked), told_(std::move(told)) {}

LessonMaker::~LessonMaker() { stop(); }

void LessonMaker::start() {
  if (const auto lessons = book_.lessons().list({})) {
    for (const book::Lesson& lesson : *lessons) {
      if (lesson.state == "making") make(lesson.id);
    }
  }
  thread_ = std::thread([this] { work(); });
}

void LessonMaker::make(book::Id lesson) {
  const std::lock_guard lock(mutex_);
  waiting_.push_back(lesson);
  arrived_.notify_one();
}

void LessonMaker::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  arrived_.notify_all();
  if (thread_.joinable()) thread_.join();
}

void LessonMaker::work() {
  while (true) {
    book::Id lesson = 0;
    {
      std::unique_lock lock(mutex_);
      arrived_.wait(lock, [this] { return stopping_ || !waiting_.empty(); });
      if (stopping_) return;
      lesson = waiting_.front();
      waiting_.pop_front();
    }
    make_now(lesson);
  }
}

void LessonMaker::make_now(book::Id id) {
  auto lesson = book_.lessons().find(id);
  if (!lesson || !*lesson) return;
  const Result<void> done = write(**lesson);
  const auto folder = book_.lessons().folder(**lesson);
  lesson = book_.lessons().find(id);  // it may have been changed or deleted meanwhile
  if (!lesson) return;
  if (!*lesson) {
    std::error_code ignored;
    std::filesystem::remove_all(folder, ignored);
    return;
  }
  (*lesson)->state = done ? "ready" : "failed";
  (*lesson)->failure.reset();
  if (!done) (*lesson)->failure = done.error();
  (void)book_.lessons().change(**lesson);
  told_(id, (*lesson)->state);
}

Result<void> LessonMaker::write(const book::Lesson& lesson) {
  const auto piece = book_.pieces().find(lesson.piece);
  if (!piece) return Unexpected(piece.error());
  if (!*piece) return {};
  const auto marked = marked_.get(**piece);
  if (!marked) return Unexpected(marked.error());
  const auto settings = book_.settings();
  const Language language =
      settings ? find_language(settings->language).value_or(Language::en_us) : Language::en_us;
  app::LessonOrder order = lesson_order(**marked, **piece, language);
  if (lesson.tempo_bpm) order.goal_per_minute = lesson.tempo_bpm;
  const Json items = Json::parse(lesson.items, nullptr, false);
  if (items.is_array()) order.items = items.get<std::vector<std::string>>();
  order.paper = lesson.paper == "letter" ? app::Paper::letter : app::Paper::a4;
  order.may_say = kinds_to_say(lesson);
  order.date = lesson.date;
  order.note = lesson.note;
  return app::write_lesson(order, book_.lessons().folder(lesson));
}

std::vector<std::string> kinds_to_say(const book::Lesson& lesson) {
  const Json chosen = Json::parse(lesson.may_say.value_or(""), nullptr, false);
  return chosen.is_array() ? chosen.get<std::vector<std::string>>() : app::usual_kinds_to_say();
}

app::LessonOrder lesson_order(const MarkedScore& marked, const book::Piece& piece,
                              Language language) {
  app::LessonOrder order;
  order.input = *marked.score;
  order.step = piece.step;
  order.teacher = marked.teacher;
  order.goal_per_minute = piece.tempo_bpm;
  order.language = language;
  return order;
}

}  // namespace endpin::desk
