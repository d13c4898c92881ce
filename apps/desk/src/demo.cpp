#include "demo.h"

#include <map>

#include "endpin/app/files.h"
#include "endpin/app/score_input.h"

#include "fields.h"
#include "score_shelf.h"

namespace endpin::desk {
namespace {

namespace fs = std::filesystem;

struct Filling {
  book::Book& book;
  fs::path folder;
  Json json;
  std::map<std::string, book::Id> students;
  std::map<std::string, book::Id> pieces;
};

Result<book::Upload> copied(book::Book& book, const fs::path& file) {
  const auto bytes = app::read_file(file);
  if (!bytes) return Unexpected(bytes.error());
  auto upload = book.upload(std::int64_t{1} << 30);
  if (!upload) return upload;
  if (auto written = upload->write(*bytes); !written) return Unexpected(written.error());
  if (auto finished = upload->finish(); !finished) return Unexpected(finished.error());
  return upload;
}

Result<void> add_students(Filling& demo) {
  for (const Json& j : demo.json.at("students")) {
    book::Student student;
    student.name = j.at("name");
    student.instrument = j.at("instrument");
    student.size = j.at("size");
    student.step = j.value("step", "");
    student.language = j.value("language", "en-US");
    const auto id = demo.book.students().add(student);
    if (!id) return Unexpected(id.error());
    demo.students[student.name] = *id;
  }
  for (const Json& j : demo.json.value("groups", Json::array())) {
    book::Group group{0, j.at("name"), {}};
    for (const Json& name : j.at("students")) group.students.push_back(demo.students[name]);
    if (auto id = demo.book.students().add_group(group); !id) return Unexpected(id.error());
  }
  return {};
}

Result<void> add_piece(Filling& demo, const Json& j) {
  const std::string file = j.at("file");
  const auto input = app::read_score_input(demo.folder / file, {"", 0, j.value("instrument", "")});
  if (!input) return Unexpected(input.error());
  book::Piece piece;
  piece.title = j.value("title", input->score.title);
  piece.composer = input->score.composer;
  piece.rights = input->score.rights;
  piece.file_name = fs::path(file).filename().string();
  piece.part = input->part;
  piece.instrument = input->instrument;
  piece.facts = piece_facts(*input);
  auto upload = copied(demo.book, demo.folder / file);
  if (!upload) return Unexpected(upload.error());
  const auto id = demo.book.pieces().add(piece, std::move(*upload));
  if (!id) return Unexpected(id.error());
  demo.pieces[file] = *id;
  return {};
}

Result<void> add_take(Filling& demo, const Json& j, const std::string& last_day) {
  const std::string file = j.at("file");
  book::Take take;
  take.file_name = fs::path(file).filename().string();
  take.student = demo.students.at(j.at("student"));
  take.piece = demo.pieces.at(j.at("piece"));
  take.delete_after = last_day;
  auto upload = copied(demo.book, demo.folder / file);
  if (!upload) return Unexpected(upload.error());
  bool duplicate = false;
  const auto id = demo.book.takes().add(take, std::move(*upload), &duplicate);
  if (!id) return Unexpected(id.error());
  return {};
}

Result<void> fill(Filling& demo) {
  if (auto added = add_students(demo); !added) return added;
  for (const Json& j : demo.json.at("pieces")) {
    if (auto added = add_piece(demo, j); !added) return added;
  }
  const auto settings = demo.book.settings();
  if (!settings) return Unexpected(settings.error());
  const auto today = std::chrono::floor<std::chrono::days>(demo.book.clock()());
  const std::string last_day = book::date(today + std::chrono::days(settings->retention_days));
  for (const Json& j : demo.json.value("takes", Json::array())) {
    if (auto added = add_take(demo, j, last_day); !added) return added;
  }
  return {};
}

}  // namespace

Result<void> fill_with_demo(book::Book& book, const fs::path& folder) {
  const auto counts = book.counts();
  if (!counts) return Unexpected(counts.error());
  if (counts->students + counts->pieces + counts->takes > 0) return {};
  const auto text = app::read_file(folder / "students.json");
  if (!text) return Unexpected(text.error());
  try {
    Filling demo{book, folder, Json::parse(*text), {}, {}};
    return fill(demo);
  } catch (const std::exception& fault) {
    return Unexpected(Error{ErrorKind::input, (folder / "students.json").string(), "", fault.what(),
                            "Compare it with the demo that came with endpin."});
  }
}

}  // namespace endpin::desk
