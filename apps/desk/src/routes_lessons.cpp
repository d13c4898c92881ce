#include <algorithm>

#include "endpin/app/files.h"
#include "endpin/hearing/hearing.h"
#include "endpin/pages/take_home.h"

#include "book_json.h"
#include "folder_files.h"
#include "services.h"
#include "static_files.h"

namespace endpin::desk {
namespace {

Result<Lesson> plan(const Services& s, const book::Piece& piece, std::optional<double> tempo,
                    Language language, const Hearing& heard) {
  const auto marked = s.marked.get(piece);
  if (!marked) return Unexpected(marked.error());
  auto order = lesson_order(s.book, **marked, piece, language, heard);
  if (!order) return Unexpected(order.error());
  if (tempo) order->goal_per_minute = tempo;
  auto planned = app::plan_lesson(*order);
  if (!planned) return Unexpected(planned.error());
  return std::move(planned->lesson);
}

Result<Hearing> heard_in(const Services& s, book::Id id) {
  const auto take = s.book.takes().find(id);
  if (!take) return Unexpected(take.error());
  return *take ? answerable(s.book, **take) : Hearing{};
}

// What proposals are to answer: a take, or what a lesson was made for; nothing where none is named.
Result<Hearing> answered(const Services& s, const Call& call) {
  if (const auto take = query_id(call, "take")) return heard_in(s, *take);
  const auto id = query_id(call, "lesson");
  if (!id) return Hearing{};
  const auto lesson = s.book.lessons().find(*id);
  if (!lesson) return Unexpected(lesson.error());
  return *lesson ? answered_by(**lesson) : Hearing{};
}

Json item_json(const LessonItem& item, Language language) {
  return {{"key", item.key},
          {"kind", name(item.kind)},
          {"title", say(item.title, language)},
          {"why", item.why.empty() ? "" : say(item.why, language)},
          {"bars", item.bars},
          {"ticked", item.ticked}};
}

Answer proposals(const Services& s, const Call& call) {
  const auto piece = s.book.pieces().find(call.id());
  if (!piece) return refuse(piece.error());
  if (!*piece) return no_such("piece");
  const auto tempo = query_number(call, "tempo", slowest_goal, fastest_goal);
  if (const auto* no = std::get_if<Answer>(&tempo)) return *no;
  const Language language = language_of(s, call);
  const auto heard = answered(s, call);
  if (!heard) return refuse(heard.error());
  const auto lesson = plan(s, **piece, std::get<0>(tempo), language, *heard);
  if (!lesson) return refuse(lesson.error());
  Json list = Json::array();
  for (const LessonItem& item : lesson->items) list.push_back(item_json(item, language));
  return json_answer({{"items", list},
                      {"may_say", app::usual_kinds_to_say()},
                      {"tempo_bpm", lesson->goal_per_minute}});
}

// What we would take of the proposals for the take's piece, the warm-ups apart.
Answer next_lesson(const Services& s, const Call& call) {
  const auto take = s.book.takes().find(call.id());
  if (!take) return refuse(take.error());
  if (!*take) return no_such("take");
  const auto piece = s.book.pieces().find((*take)->piece.value_or(0));
  if (!piece) return refuse(piece.error());
  Json list = Json::array();
  if (!*piece) return json_answer({{"items", list}});
  const auto heard = answerable(s.book, **take);
  if (!heard) return refuse(heard.error());
  const Language language = language_of(s, call);
  const auto lesson = plan(s, **piece, {}, language, *heard);
  if (!lesson) return refuse(lesson.error());
  for (const LessonItem& item : lesson->items) {
    if (item.ticked && item.kind != ItemKind::warm_up) list.push_back(item_json(item, language));
  }
  return json_answer({{"items", list}});
}

Answer lesson_answer(const Services& s, book::Id id, int status = 200) {
  const auto lesson = s.book.lessons().find(id);
  if (!lesson) return refuse(lesson.error());
  return *lesson ? json_answer(lesson_json(s, **lesson), status) : no_such("lesson");
}

Answer list_lessons(const Services& s, const Call& call) {
  const auto lessons = s.book.lessons().list({query_id(call, "student"), query_id(call, "piece")});
  if (!lessons) return refuse(lessons.error());
  Json list = Json::array();
  for (const book::Lesson& lesson : *lessons) list.push_back(lesson_json(s, lesson));
  return json_answer({{"lessons", list}});
}

bool is_list_of_kinds(const Json& json) {
  return json.is_array() && json.size() <= 100 &&
         std::all_of(json.begin(), json.end(), [](const Json& kind) {
           return kind.is_string() && finding_kind(kind.get_ref<const std::string&>());
         });
}

void read_may_say(Fields& fields, book::Lesson& l) {
  if (!fields.has("may_say")) return;
  const Json& kinds = fields.json()["may_say"];
  if (!is_list_of_kinds(kinds)) return fields.wrong("may_say", "not a list of kinds of findings");
  l.may_say = dump(kinds);
}

void read(Fields& fields, book::Lesson& l) {
  read_may_say(fields, l);
  std::string due = l.due.value_or("");
  if (fields.has("due") && fields.json()["due"].is_null()) {
    due.clear();
  } else {
    fields.date("due", due);
  }
  l.due = due.empty() ? std::nullopt : std::optional(due);
  fields.text("note", l.note, 2000)
      .maybe_real("tempo_bpm", l.tempo_bpm, slowest_goal, fastest_goal)
      .one_of("paper", l.paper, {"a4", "letter"})
      .date("date", l.date)
      .ids("students", l.students)
      .ids("groups", l.groups);
  if (!fields.has("items")) return;
  const Json& items = fields.json()["items"];
  const bool keys = items.is_array() && items.size() <= 100 &&
                    std::all_of(items.begin(), items.end(), [](const Json& key) {
                      return key.is_string() && key.get_ref<const std::string&>().size() < 100;
                    });
  if (!keys) return fields.wrong("items", "not a list of keys");
  l.items = dump(items);
}

Answer add_lesson(const Services& s, const Call& call) {
  book::Lesson lesson;
  lesson.items = "[]";
  lesson.date = book::date(std::chrono::floor<std::chrono::days>(s.book.clock()()));
  Fields fields(call);
  std::optional<book::Id> piece;
  std::optional<book::Id> take;
  fields.require("piece").maybe_id("piece", piece).maybe_id("take", take);
  read(fields, lesson);
  if (fields.problem()) return *fields.problem();
  if (auto no = check_owners(s, {}, piece)) return *no;
  if (take) {
    const auto heard = heard_in(s, *take);
    if (!heard) return refuse(heard.error());
    lesson.answers = to_json(*heard);
  }
  lesson.piece = piece.value_or(0);
  const auto id = s.book.lessons().add(lesson);
  if (!id) return refuse(id.error());
  s.lessons.make(*id);
  return lesson_answer(s, *id, 201);
}

Answer change_lesson(const Services& s, const Call& call) {
  auto lesson = s.book.lessons().find(call.id());
  if (!lesson) return refuse(lesson.error());
  if (!*lesson) return no_such("lesson");
  Fields fields(call);
  read(fields, **lesson);
  if (fields.problem()) return *fields.problem();
  (*lesson)->state = "making";
  (*lesson)->failure.reset();
  if (auto kept = s.book.lessons().change(**lesson); !kept) return refuse(kept.error());
  s.lessons.make(call.id());
  return lesson_answer(s, call.id());
}

Answer remove_lesson(const Services& s, const Call& call) {
  const auto gone = s.book.lessons().remove(call.id());
  if (!gone) return refuse(gone.error());
  return *gone ? no_content() : no_such("lesson");
}

Answer lesson_file(const Services& s, const Call& call) {
  const auto lesson = s.book.lessons().find(call.id());
  if (!lesson) return refuse(lesson.error());
  if (!*lesson) return no_such("lesson");
  const std::string& wanted = call.words.at(1);
  Answer answer = file_in(s.book.lessons().folder(**lesson), wanted);
  // The take-home page brings its own scripts, which the desk's own policy refuses: it is to be
  // saved and sent, not opened here.
  if (wanted == "take-home.html" && answer.file)
    answer.with("Content-Disposition", attachment(wanted));
  return answer;
}

// The page that goes home with one student: it knows lesson and student by itself when it comes
// back. The mark is random; the student's name is not in it.
Answer take_home_for(const Services& s, const Call& call) {
  const auto lesson = s.book.lessons().find(call.id());
  if (!lesson) return refuse(lesson.error());
  if (!*lesson) return no_such("lesson");
  const auto student = s.book.students().find(parse_id(call.words.at(1)));
  if (!student) return refuse(student.error());
  const auto token = s.book.students().token(*student ? (*student)->id : 0);
  if (!token) return refuse(token.error());
  if (!*student || !*token) return no_such("student");
  auto page = app::read_file(s.book.lessons().folder(**lesson) / "take-home.html");
  if ((*lesson)->state != "ready" || !page) return no_such("page");
  auto addressed =
      app::addressed_take_home(std::move(*page), (*lesson)->folder_name, token->value());
  if (!addressed) return refuse(addressed.error());
  Answer answer;
  answer.type = page_type(".html");
  answer.body = std::move(*addressed);
  return answer.with("Content-Disposition",
                     attachment((*lesson)->piece_title + " - " + (*student)->name + ".html"));
}

}  // namespace

Json lesson_json(const Services& s, const book::Lesson& l) {
  Json items = Json::array();
  const Json keys = Json::parse(l.items, nullptr, false);
  if (keys.is_array()) {
    for (const Json& key : keys) items.push_back({{"key", key}});
  }
  return {
      {"id", l.id},
      {"piece", {{"id", l.piece}, {"title", l.piece_title}}},
      {"items", items},
      {"may_say", kinds_to_say(l)},
      {"note", l.note},
      {"tempo_bpm", or_null(l.tempo_bpm)},
      {"paper", l.paper},
      {"date", l.date},
      {"due", or_null(l.due)},
      {"created", l.created},
      {"students", l.students},
      {"groups", l.groups},
      {"state", l.state},
      {"error", l.failure ? to_json(*l.failure) : Json(nullptr)},
      {"files", l.state == "ready" ? Json(file_names(s.book.lessons().folder(l))) : Json::array()}};
}

void add_lesson_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces/{id}/proposals", [s](const Call& c) { return proposals(s, c); });
  r.add("GET", "/api/takes/{id}/next", [s](const Call& c) { return next_lesson(s, c); });
  r.add("GET", "/api/lessons", [s](const Call& c) { return list_lessons(s, c); });
  r.add("POST", "/api/lessons", [s](const Call& c) { return add_lesson(s, c); });
  r.add("GET", "/api/lessons/{id}", [s](const Call& c) { return lesson_answer(s, c.id()); });
  r.add("PATCH", "/api/lessons/{id}", [s](const Call& c) { return change_lesson(s, c); });
  r.add("DELETE", "/api/lessons/{id}", [s](const Call& c) { return remove_lesson(s, c); });
  r.add("GET", "/api/lessons/{id}/files/{name}", [s](const Call& c) { return lesson_file(s, c); });
  r.add("GET", "/api/lessons/{id}/take-home/{student}",
        [s](const Call& c) { return take_home_for(s, c); });
}

}  // namespace endpin::desk
