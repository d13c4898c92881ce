#pragma once

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "endpin/book/book.h"

namespace endpin::bench {

/// The value, or the error's line and the end of the program.
template <typename T>
T need(Result<T> result) {
  if (!result) {
    std::fprintf(stderr, "%s\n", result.error().line().c_str());
    std::exit(1);
  }
  return std::move(*result);
}

inline book::Upload bytes(book::Book& book, const std::string& text) {
  book::Upload upload = need(book.upload(1 << 20));
  if (!upload.write(text) || !upload.finish()) std::exit(1);
  return upload;
}

/// What stands in the place of real files in a large book.
struct Stuff {
  std::string piece_name = "tune.musicxml";
  std::string piece;    ///< a score; each piece gets a comment of its own behind it
  std::string hearing;  ///< kept in each take's folder; empty: none
};

/// 200 students, a class of 30, 300 pieces, 5,000 heard takes of 12 bars each.
inline void fill(book::Book& book, const Stuff& stuff = {}) {
  std::vector<book::Id> students;
  std::vector<book::Id> pieces;
  for (int i = 0; i < 200; ++i) {
    book::Student student;
    student.name = "Student " + std::to_string(i);
    student.instrument = "cello";
    students.push_back(need(book.students().add(student)));
  }
  need(book.students().add_group({0, "Monday", {students.begin(), students.begin() + 30}}));
  for (int i = 0; i < 300; ++i) {
    book::Piece piece;
    piece.title = "Tune " + std::to_string(i);
    piece.file_name = stuff.piece_name;
    piece.instrument = "cello";
    piece.facts = "{}";
    const std::string text = stuff.piece + "<!-- " + std::to_string(i) + " -->";
    pieces.push_back(need(book.pieces().add(piece, bytes(book, text))));
  }
  book::HeardBrief brief;
  brief.status = "ok";
  for (int i = 0; i < 5000; ++i) {
    book::Take take;
    take.file_name = "VID_" + std::to_string(i) + ".mp4";
    take.student = students[static_cast<std::size_t>(i) % students.size()];
    take.piece = pieces[static_cast<std::size_t>(i / 50) % pieces.size()];
    take.delete_after = "2099-01-01";
    bool duplicate = false;
    const book::Id id =
        need(book.takes().add(take, bytes(book, "take " + std::to_string(i)), &duplicate));
    std::vector<book::HeardBar> bars;
    for (int b = 0; b < 12; ++b) bars.push_back({std::to_string(b), 1, b * 2.0, b * 2.0 + 2});
    const auto claimed = need(book.takes().claim());
    if (!stuff.hearing.empty() && claimed) {
      std::ofstream(book.takes().folder(*claimed) / "hearing.json") << stuff.hearing;
    }
    need(book.takes().heard(id, brief, bars, {}));
  }
}

/// Filled anew under `name` among the temporary files.
inline std::filesystem::path large_book(const std::string& name, const Stuff& stuff = {}) {
  const auto place = std::filesystem::temp_directory_path() / name;
  std::filesystem::remove_all(place);
  fill(*need(book::open_book(place)), stuff);
  return place;
}

}  // namespace endpin::bench
