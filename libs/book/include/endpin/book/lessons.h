#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "endpin/book/students.h"

namespace endpin::book {

/// What goes home for a week: of which piece, with what in it, for whom.
struct Lesson {
  Id id = 0;
  Id piece = 0;
  std::string folder_name;             ///< random; what pages that go home call the lesson by
  std::string items;                   ///< JSON of the caller
  std::optional<std::string> may_say;  ///< JSON of the caller; unset: what is usual
  std::string answers;                 ///< JSON of the caller: what was heard that it is made for
  std::string note;
  std::optional<double> tempo_bpm;
  std::string paper = "a4";
  std::string date;
  std::optional<std::string> due;
  std::string state = "making";  ///< "making", "ready" or "failed"
  std::optional<Error> failure;
  std::string created;
  std::vector<Id> students;
  std::vector<Id> groups;

  std::string piece_title;  ///< added by the book
};

struct LessonQuery {
  std::optional<Id> student;  ///< given to them or to a group of theirs
  std::optional<Id> piece;
};

class Lessons {
 public:
  virtual ~Lessons() = default;
  virtual Result<Id> add(Lesson lesson) = 0;
  virtual Result<std::optional<Lesson>> find(Id id) = 0;
  virtual Result<std::optional<Lesson>> find_by_folder(const std::string& name) = 0;
  /// Newest first.
  virtual Result<std::vector<Lesson>> list(const LessonQuery& query) = 0;
  virtual Result<bool> change(const Lesson& lesson) = 0;
  virtual Result<bool> remove(Id id) = 0;
  virtual std::filesystem::path folder(const Lesson& lesson) const = 0;
};

}  // namespace endpin::book
