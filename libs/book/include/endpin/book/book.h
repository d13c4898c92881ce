#pragma once

#include <chrono>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "endpin/base/result.h"
#include "endpin/book/class_sets.h"
#include "endpin/book/drafts.h"
#include "endpin/book/lessons.h"
#include "endpin/book/pieces.h"
#include "endpin/book/students.h"
#include "endpin/book/takes.h"
#include "endpin/book/upload.h"
#include "endpin/book/words.h"

/// What the teacher keeps: one folder that can be moved as a whole. Everything is kept behind this
/// interface; `open_book` gives the one that uses SQLite.
namespace endpin::book {

using Clock = std::function<std::chrono::sys_seconds()>;
Clock system_clock();

/// 2026-03-01T09:30:00Z
std::string utc(std::chrono::sys_seconds time);
/// 2026-03-01
std::string date(std::chrono::sys_days day);
std::optional<std::chrono::sys_days> parse_date(const std::string& text);

struct Settings {
  std::string language = "en-US";
  int retention_days = 60;   ///< how long a take is kept; 1…3650
  std::optional<double> a4;  ///< in hertz; empty: as heard
  bool set_up = false;       ///< the teacher has answered the first questions
  std::string house_rules;   ///< for fingerings and bowings, one a line (endpin/technique)
  bool operator==(const Settings&) const = default;
};

struct Counts {
  int students = 0;
  int groups = 0;
  int pieces = 0;
  int lessons = 0;
  int takes = 0;
  int new_takes = 0;
};

/// Safe to use from several threads. Every change is on the disk when the call returns.
class Book {
 public:
  virtual ~Book() = default;
  virtual Students& students() = 0;
  virtual Pieces& pieces() = 0;
  virtual Takes& takes() = 0;
  virtual Lessons& lessons() = 0;
  virtual Drafts& drafts() = 0;
  virtual ClassSets& class_sets() = 0;
  virtual TeachersWords& words() = 0;

  virtual Result<Settings> settings() = 0;
  virtual Result<void> change_settings(const Settings& settings) = 0;
  virtual Result<Counts> counts() = 0;
  virtual const std::filesystem::path& folder() const = 0;
  virtual const Clock& clock() const = 0;
  /// Where an upload begins.
  virtual Result<Upload> upload(std::int64_t limit) = 0;

  /// Removes takes whose date has passed; how many.
  virtual Result<int> sweep() = 0;
  /// A consistent copy of the whole book as one zip file, which appears whole or not at all.
  virtual Result<void> back_up(const std::filesystem::path& file) = 0;
};

struct OpenOptions {
  Clock clock = system_clock();
};

/// Opens the book in `folder`, made if it is not there: takes the lock, migrates, and puts files
/// and rows in order again after a crash. Errors: in use by another program, unreadable, damaged,
/// made by a newer version.
Result<std::unique_ptr<Book>> open_book(const std::filesystem::path& folder,
                                        const OpenOptions& options = {});

/// One entry of an archive: a file, or text that is not in one.
struct ArchiveEntry {
  std::string name;
  std::filesystem::path file;  ///< empty: `text`
  std::string text;
};
/// A zip that appears whole or not at all.
Result<void> write_archive(const std::filesystem::path& file,
                           const std::vector<ArchiveEntry>& entries);

/// Unpacks a backup into `folder`, which must be empty or not exist.
Result<void> restore_book(const std::filesystem::path& file, const std::filesystem::path& folder);

}  // namespace endpin::book
