#pragma once

#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "endpin/book/book.h"

namespace endpin::book {

/// The value of a Result that a test needs; the error's line is in the failure otherwise.
template <typename T>
T need(Result<T> result) {
  if (!result) {
    ADD_FAILURE() << result.error().line();
    throw std::runtime_error("needed");
  }
  return std::move(*result);
}
inline void need(Result<void> result) {
  if (!result) throw std::runtime_error(result.error().line());
}

/// A book in a folder of its own, with a clock that the test turns.
class BookTest : public testing::Test {
 protected:
  BookTest() : root(std::filesystem::temp_directory_path() / ("endpin-book-" + random_hex(6))) {
    std::filesystem::create_directory(root);
    reopen();
  }
  ~BookTest() override {
    book.reset();
    std::filesystem::remove_all(root);
  }

  void reopen() {
    book.reset();
    book = need(open_book(folder(), {[this] { return now; }}));
  }
  std::filesystem::path folder() const { return root / "book"; }

  Upload upload(const std::string& bytes) {
    Upload up = need(book->upload(1 << 20));
    need(up.write(bytes));
    need(up.finish());
    return up;
  }
  Id add_student(const std::string& name) {
    Student student;
    student.name = name;
    return need(book->students().add(student));
  }
  Id add_piece(const std::string& title, const std::string& bytes) {
    Piece piece;
    piece.title = title;
    piece.file_name = "tune.musicxml";
    piece.facts = "{}";
    return need(book->pieces().add(piece, upload(bytes)));
  }
  Id add_take(const std::string& bytes, std::optional<Id> student, std::optional<Id> piece,
              const std::string& delete_after = "2026-05-01") {
    Take take;
    take.file_name = "VID_0042.mp4";
    take.student = student;
    take.piece = piece;
    take.delete_after = delete_after;
    bool duplicate = false;
    const Id id = need(book->takes().add(take, upload(bytes), &duplicate));
    last_was_duplicate = duplicate;
    return id;
  }

  /// Whether any file below the book's folder holds these bytes.
  bool on_disk(const std::string& bytes) const {
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder())) {
      if (!entry.is_regular_file()) continue;
      std::ifstream in(entry.path(), std::ios::binary);
      const std::string all((std::istreambuf_iterator<char>(in)), {});
      if (all.find(bytes) != std::string::npos) return true;
    }
    return false;
  }

  std::chrono::sys_seconds now = std::chrono::sys_days(std::chrono::year(2026) / 3 / 1);
  std::filesystem::path root;
  std::unique_ptr<Book> book;
  bool last_was_duplicate = false;
};

}  // namespace endpin::book
