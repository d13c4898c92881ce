#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "endpin/book/book.h"

#include "database.h"

namespace endpin::book {

/// What every part of the SQLite book works on.
struct Shelf {
  std::filesystem::path folder;
  std::unique_ptr<Database> database;
  Clock clock;

  std::filesystem::path pieces() const { return folder / "pieces"; }
  std::filesystem::path takes() const { return folder / "takes"; }
  std::filesystem::path lessons() const { return folder / "lessons"; }
  std::filesystem::path drafts() const { return folder / "drafts"; }
  std::filesystem::path class_sets() const { return folder / "class-sets"; }
  std::filesystem::path incoming() const { return folder / "incoming"; }
  std::filesystem::path cache() const { return folder / "cache"; }
  /// Those that a backup holds.
  std::vector<std::filesystem::path> kept() const {
    return {pieces(), takes(), lessons(), drafts(), class_sets()};
  }

  std::string now() const { return utc(clock()); }
  std::chrono::sys_days today() const { return std::chrono::floor<std::chrono::days>(clock()); }

  /// Called after the rows are gone: removes folders below `where` and empties SQLite's log.
  Result<void> discard(const std::filesystem::path& where,
                       const std::vector<std::string>& folder_names);
};

std::unique_ptr<Students> sqlite_students(Shelf& shelf);
std::unique_ptr<Pieces> sqlite_pieces(Shelf& shelf);
std::unique_ptr<Takes> sqlite_takes(Shelf& shelf);
std::unique_ptr<Lessons> sqlite_lessons(Shelf& shelf);
std::unique_ptr<Drafts> sqlite_drafts(Shelf& shelf);
std::unique_ptr<ClassSets> sqlite_class_sets(Shelf& shelf);
std::unique_ptr<TeachersWords> sqlite_words(Shelf& shelf);

/// What a take's newest hearing calls its findings, in the place of what the one before called
/// them. REQUIRES: inside a transaction.
Result<void> keep_marks(Database& database, Id take, const FindingMarks& marks);

/// A pattern for `LIKE … ESCAPE '\'` that finds `text` anywhere.
std::string containing(const std::string& text);

/// The value of `SELECT folder_name …`.
inline std::string first_text(Row row) { return row.text(0); }

}  // namespace endpin::book
