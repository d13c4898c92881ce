#include "book_json.h"
#include "home_takes.h"
#include "receive.h"
#include "services.h"

namespace endpin::desk {
namespace {

constexpr std::int64_t largest_take = std::int64_t{1} << 30;

std::variant<book::Take, Answer> announced(const Services& s, const Call& call) {
  book::Take take;
  take.file_name = book::plain_file_name(call.query_text("name").value_or("take"));
  take.student = query_id(call, "student");
  take.piece = query_id(call, "piece");
  take.lesson = query_id(call, "lesson");
  take.sender = call.query_text("sender").value_or("").substr(0, 200);
  take.recorded = call.query_text("recorded");
  if (take.recorded && !plausible_moment(*take.recorded)) {
    return refuse_value("recorded", "not a time such as 2026-03-01T09:30:00Z", "Correct it.");
  }
  const auto tempo = query_number(call, "tempo", 10, 400);
  if (const auto* no = std::get_if<Answer>(&tempo)) return *no;
  take.tempo_bpm = std::get<0>(tempo);
  if (auto no = check_owners(s, take.student, take.piece)) return *no;
  if (auto no = follow_lesson(s, take)) return *no;
  return take;
}

// From the first day on every take has a date of its end.
Result<std::string> delete_after(book::Book& book) {
  const auto settings = book.settings();
  if (!settings) return Unexpected(settings.error());
  const auto today = std::chrono::floor<std::chrono::days>(book.clock()());
  return book::date(today + std::chrono::days(settings->retention_days));
}

Answer add_take(const Services& s, const Call& call) {
  auto wanted = announced(s, call);
  if (const auto* no = std::get_if<Answer>(&wanted)) return *no;
  auto& take = std::get<book::Take>(wanted);
  auto received = receive(s.book, call, largest_take);
  if (const auto* no = std::get_if<Answer>(&received)) return *no;
  auto& upload = std::get<book::Upload>(received);
  if (book::is_zip(upload.path())) {
    auto sound = unpack_home_take(s, upload, largest_take, take);
    if (!sound) return refuse(sound.error());
    upload = std::move(*sound);
  }
  if (!take.student && !take.sender.empty()) {
    const auto known = s.book.takes().students_of_sender(take.sender);
    if (!known) return refuse(known.error());
    if (known->size() == 1) take.student = known->front();
  }
  const auto last_day = delete_after(s.book);
  if (!last_day) return refuse(last_day.error());
  take.delete_after = *last_day;
  bool duplicate = false;
  const auto id = s.book.takes().add(take, std::move(upload), &duplicate);
  if (!id) return refuse(id.error());
  const auto added = s.book.takes().find(*id);
  if (!added || !*added) return added ? no_such("take") : refuse(added.error());
  Json json = take_json(s, **added);
  json["duplicate"] = duplicate;
  if (!duplicate) {
    s.hearings.wake();
    tell_take(s, *id);
  }
  return json_answer(json, duplicate ? 200 : 201);
}

}  // namespace

std::optional<Answer> follow_lesson(const Services& s, book::Take& take) {
  if (!take.lesson) return std::nullopt;
  const auto lesson = s.book.lessons().find(*take.lesson);
  if (!lesson) return refuse(lesson.error());
  if (!*lesson) return no_such("lesson");
  if (!take.piece) take.piece = (*lesson)->piece;
  return std::nullopt;
}

std::optional<Answer> check_owners(const Services& s, std::optional<book::Id> student,
                                   std::optional<book::Id> piece) {
  if (student) {
    const auto found = s.book.students().find(*student);
    if (!found) return refuse(found.error());
    if (!*found) return no_such("student");
  }
  if (piece) {
    const auto found = s.book.pieces().find(*piece);
    if (!found) return refuse(found.error());
    if (!*found) return no_such("piece");
  }
  return std::nullopt;
}

void add_take_upload_routes(Router& r, Services s) {
  r.add("POST", "/api/takes", [s](const Call& c) { return add_take(s, c); });
}

}  // namespace endpin::desk
