#include "book_json.h"
#include "services.h"

namespace endpin::desk {
namespace {

Answer student_answer(const Services& s, book::Id id, int status = 200) {
  const auto student = s.book.students().find(id);
  if (!student) return refuse(student.error());
  if (!*student) return no_such("student");
  return json_answer(to_json(**student), status);
}

Answer list_students(const Services& s, const Call& call) {
  const book::StudentQuery query{call.query_text("q").value_or(""), query_id(call, "group"),
                                 query_flag(call, "archived")};
  const auto students = s.book.students().list(query);
  if (!students) return refuse(students.error());
  Json list = Json::array();
  for (const book::Student& student : *students) list.push_back(to_json(student));
  return json_answer({{"students", list}});
}

Answer add_student(const Services& s, const Call& call) {
  Fields fields(call);
  book::Student student;
  const auto settings = s.book.settings();
  if (settings) student.language = settings->language;
  read(fields.require("name"), student);
  if (fields.problem()) return *fields.problem();
  const auto id = s.book.students().add(student);
  return id ? student_answer(s, *id, 201) : refuse(id.error());
}

Answer change_student(const Services& s, const Call& call) {
  auto student = s.book.students().find(call.id());
  if (!student) return refuse(student.error());
  if (!*student) return no_such("student");
  Fields fields(call);
  read(fields, **student);
  if (fields.problem()) return *fields.problem();
  const auto changed = s.book.students().change(**student);
  return changed ? student_answer(s, call.id()) : refuse(changed.error());
}

Answer remove_student(const Services& s, const Call& call) {
  const auto removed = s.book.students().remove(call.id());
  if (!removed) return refuse(removed.error());
  return *removed ? no_content() : no_such("student");
}

Answer history(const Services& s, const Call& call) {
  const auto takes = s.book.takes().history(call.id(), query_id(call, "piece"));
  if (!takes) return refuse(takes.error());
  Json points = Json::array();
  for (const book::Take& t : *takes) {
    points.push_back({{"take", t.id},
                      {"recorded", t.recorded.value_or(t.received)},
                      {"piece", or_null(t.piece)},
                      {"bpm", or_null(t.brief.bpm)},
                      {"clean_bpm", or_null(t.brief.clean_bpm)},
                      {"intonation_cents", or_null(t.brief.intonation_cents)},
                      {"spread_cents", or_null(t.brief.spread_cents)},
                      {"deviation_ms", or_null(t.brief.deviation_ms)},
                      {"sounding_ratio", or_null(t.brief.sounding_ratio)},
                      {"bars", t.brief.bars}});
  }
  return json_answer({{"points", points}});
}

Answer group_answer(const Services& s, book::Id id, int status = 200) {
  const auto group = s.book.students().find_group(id);
  if (!group) return refuse(group.error());
  if (!*group) return no_such("group");
  return json_answer(to_json(**group), status);
}

Answer list_groups(const Services& s) {
  const auto groups = s.book.students().groups();
  if (!groups) return refuse(groups.error());
  Json list = Json::array();
  for (const book::Group& group : *groups) list.push_back(to_json(group));
  return json_answer({{"groups", list}});
}

Answer add_group(const Services& s, const Call& call) {
  Fields fields(call);
  book::Group group;
  read(fields.require("name"), group);
  if (fields.problem()) return *fields.problem();
  const auto id = s.book.students().add_group(group);
  return id ? group_answer(s, *id, 201) : refuse(id.error());
}

Answer change_group(const Services& s, const Call& call) {
  auto group = s.book.students().find_group(call.id());
  if (!group) return refuse(group.error());
  if (!*group) return no_such("group");
  Fields fields(call);
  read(fields, **group);
  if (fields.problem()) return *fields.problem();
  const auto changed = s.book.students().change_group(**group);
  return changed ? group_answer(s, call.id()) : refuse(changed.error());
}

Answer remove_group(const Services& s, const Call& call) {
  const auto removed = s.book.students().remove_group(call.id());
  if (!removed) return refuse(removed.error());
  return *removed ? no_content() : no_such("group");
}

}  // namespace

void add_student_routes(Router& r, Services s) {
  r.add("GET", "/api/students", [s](const Call& c) { return list_students(s, c); });
  r.add("POST", "/api/students", [s](const Call& c) { return add_student(s, c); });
  r.add("GET", "/api/students/{id}", [s](const Call& c) { return student_answer(s, c.id()); });
  r.add("PATCH", "/api/students/{id}", [s](const Call& c) { return change_student(s, c); });
  r.add("DELETE", "/api/students/{id}", [s](const Call& c) { return remove_student(s, c); });
  r.add("GET", "/api/students/{id}/history", [s](const Call& c) { return history(s, c); });
  r.add("GET", "/api/groups", [s](const Call&) { return list_groups(s); });
  r.add("POST", "/api/groups", [s](const Call& c) { return add_group(s, c); });
  r.add("GET", "/api/groups/{id}", [s](const Call& c) { return group_answer(s, c.id()); });
  r.add("PATCH", "/api/groups/{id}", [s](const Call& c) { return change_group(s, c); });
  r.add("DELETE", "/api/groups/{id}", [s](const Call& c) { return remove_group(s, c); });
}

}  // namespace endpin::desk
