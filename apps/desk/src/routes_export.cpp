#include "endpin/app/files.h"

#include "book_json.h"
#include "services.h"
#include "take_items.h"

namespace endpin::desk {
namespace {

namespace fs = std::filesystem;
using book::ArchiveEntry;

Result<void> add_takes(const Services& s, const std::vector<book::Take>& takes, Json& list,
                       std::vector<ArchiveEntry>& entries) {
  for (const book::Take& take : takes) {
    const std::string at = "takes/" + std::to_string(take.id) + "/";
    Json json = take_json(s, take);
    const auto decisions = s.book.words().decisions(take.id);
    if (!decisions) return Unexpected(decisions.error());
    json["decisions"] = Json::array();
    for (const book::Decision& d : *decisions) {
      json["decisions"].push_back(
          {{"finding", d.finding}, {"verdict", d.verdict}, {"words", d.words}, {"at", d.at}});
    }
    const auto message = s.book.words().message(take.id);
    if (!message) return Unexpected(message.error());
    json["message"] = or_null(*message);
    const auto rubric = s.book.words().rubric(take.id);
    if (!rubric) return Unexpected(rubric.error());
    const Json rows = Json::parse(*rubric, nullptr, false);
    json["rubric"] = rows.is_array() ? rows : Json::array();
    list.push_back(json);
    const fs::path original = s.book.takes().original(take);
    std::error_code failed;
    if (fs::exists(original, failed)) entries.push_back({at + take.file_name, original, ""});
    for (const fs::path& hearing : hearing_files(s.book.takes().folder(take))) {
      const std::string name = hearing.filename().string();
      if (fs::exists(hearing, failed)) entries.push_back({at + name, hearing, ""});
    }
  }
  return {};
}

// The files that `json` names, below `at`.
void add_files(const Json& json, const fs::path& folder, const std::string& at,
               std::vector<ArchiveEntry>& entries) {
  for (const Json& name : json["files"]) {
    const auto& file = name.get_ref<const std::string&>();
    entries.push_back({at + file, folder / file, ""});
  }
}

// Those of everybody, or those that one student was given; of these nobody is named beside them.
Result<void> add_lessons(const Services& s, std::optional<book::Id> student, Json& list,
                         std::vector<ArchiveEntry>& entries) {
  const auto lessons = s.book.lessons().list({student, {}});
  if (!lessons) return Unexpected(lessons.error());
  for (const book::Lesson& lesson : *lessons) {
    list.push_back(lesson_json(s, lesson));
    add_files(list.back(), s.book.lessons().folder(lesson),
              "lessons/" + std::to_string(lesson.id) + "/", entries);
    if (!student) continue;
    list.back().erase("students");
    list.back().erase("groups");
  }
  return {};
}

Result<void> add_class_sets(const Services& s, Json& list, std::vector<ArchiveEntry>& entries) {
  const auto sets = s.book.class_sets().list({});
  if (!sets) return Unexpected(sets.error());
  for (const book::ClassSet& set : *sets) {
    list.push_back(class_set_json(s, set));
    add_files(list.back(), s.book.class_sets().folder(set),
              "class_sets/" + std::to_string(set.id) + "/", entries);
  }
  return {};
}

// Made, opened and unlinked at once: nothing of it stays on the disk when the answer is sent.
Answer zip_answer(const Services& s, const std::vector<ArchiveEntry>& entries,
                  const std::string& name) {
  const fs::path file = s.book.folder() / "incoming" / (book::random_hex(8) + ".zip");
  if (auto written = book::write_archive(file, entries); !written) return refuse(written.error());
  auto bytes = app::read_file(file, std::uintmax_t{4} << 30);
  std::error_code failed;
  fs::remove(file, failed);
  if (!bytes) return refuse(bytes.error());
  Answer answer;
  answer.type = "application/zip";
  answer.body = std::move(*bytes);
  return answer.with("Content-Disposition", attachment(name));
}

Result<std::vector<book::Take>> all_takes(const Services& s, std::optional<book::Id> student) {
  std::vector<book::Take> all;
  book::TakeQuery query;
  query.student = student;
  query.limit = 1000;
  while (true) {
    auto page = s.book.takes().list(query);
    if (!page) return page;
    all.insert(all.end(), page->begin(), page->end());
    if (static_cast<int>(page->size()) < query.limit) return all;
    query.before = page->back().id;
  }
}

Answer export_student(const Services& s, const Call& call) {
  const auto student = s.book.students().find(call.id());
  if (!student) return refuse(student.error());
  if (!*student) return no_such("student");
  const auto takes = all_takes(s, call.id());
  if (!takes) return refuse(takes.error());
  std::vector<ArchiveEntry> entries;
  Json list = Json::array();
  if (auto added = add_takes(s, *takes, list, entries); !added) return refuse(added.error());
  Json json = {{"schema", "endpin.student/1"},
               {"student", to_json(**student)},
               {"takes", list},
               {"lessons", Json::array()}};
  if (auto added = add_lessons(s, call.id(), json["lessons"], entries); !added) {
    return refuse(added.error());
  }
  entries.push_back({"student.json", {}, dump(json)});
  return zip_answer(s, entries, (*student)->name + ".zip");
}

Answer export_book(const Services& s) {
  const auto students = s.book.students().list({});
  const auto groups = s.book.students().groups();
  const auto pieces = s.book.pieces().list("");
  const auto takes = all_takes(s, {});
  if (!students || !groups || !pieces || !takes) {
    return refuse(!students ? students.error()
                  : !groups ? groups.error()
                  : !pieces ? pieces.error()
                            : takes.error());
  }
  Json json = {{"schema", "endpin.book/1"},
               {"students", Json::array()},
               {"groups", Json::array()},
               {"pieces", Json::array()}};
  std::vector<ArchiveEntry> entries;
  for (const book::Student& student : *students) json["students"].push_back(to_json(student));
  for (const book::Group& group : *groups) json["groups"].push_back(to_json(group));
  for (const book::Piece& piece : *pieces) {
    json["pieces"].push_back(to_json(piece, s.engraver.state(piece.id)));
    entries.push_back({"pieces/" + std::to_string(piece.id) + "/" + piece.file_name,
                       s.book.pieces().file(piece), ""});
  }
  Json list = Json::array();
  if (auto added = add_takes(s, *takes, list, entries); !added) return refuse(added.error());
  json["takes"] = list;
  json["lessons"] = Json::array();
  if (auto added = add_lessons(s, {}, json["lessons"], entries); !added) {
    return refuse(added.error());
  }
  json["class_sets"] = Json::array();
  if (auto added = add_class_sets(s, json["class_sets"], entries); !added) {
    return refuse(added.error());
  }
  entries.push_back({"book.json", {}, dump(json)});
  return zip_answer(s, entries, "book.zip");
}

}  // namespace

void add_export_routes(Router& r, Services s) {
  r.add("GET", "/api/students/{id}/export.zip",
        [s](const Call& c) { return export_student(s, c); });
  r.add("GET", "/api/book/export.zip", [s](const Call&) { return export_book(s); });
}

}  // namespace endpin::desk
