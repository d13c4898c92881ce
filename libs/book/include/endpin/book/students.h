#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "endpin/base/result.h"

namespace endpin::book {

/// A row's number; positive, never used again for another row of its kind.
using Id = std::int64_t;

/// Who allowed that a student's recordings are kept here, and when.
struct Consent {
  std::string by;
  std::string on;  ///< a date, 2026-02-01
  std::string note;
  bool operator==(const Consent&) const = default;
};

struct Student {
  Id id = 0;
  std::string name;  ///< or a nickname
  std::string instrument = "cello";
  std::string size = "4/4";
  std::string step;  ///< what the student can play, by the names of the curriculum
  std::string language;
  std::string rules;  ///< the teacher's own house rules, free text
  std::optional<Consent> consent;
  bool archived = false;
  std::string created;  ///< UTC, 2026-03-01T09:30:00Z

  // What the book adds when it reads:
  std::vector<Id> groups;
  int takes = 0;
  int new_takes = 0;
  std::optional<std::string> last_take;  ///< when the newest came in
};

struct Group {
  Id id = 0;
  std::string name;
  std::vector<Id> students;
};

struct StudentQuery {
  std::string text;  ///< part of the name, any case; empty: all
  std::optional<Id> group;
  bool archived = false;  ///< those, instead of the present ones
};

class Students {
 public:
  virtual ~Students() = default;
  virtual Result<Id> add(const Student& student) = 0;
  virtual Result<std::optional<Student>> find(Id id) = 0;
  /// By name.
  virtual Result<std::vector<Student>> list(const StudentQuery& query) = 0;
  /// False: no such student. The members that the book adds are not written.
  virtual Result<bool> change(const Student& student) = 0;
  /// The student with everything that is theirs, files as well; false: no such student.
  virtual Result<bool> remove(Id id) = 0;

  /// The student's own mark in the pages that go home: made at the first call, then always the
  /// same; nobody can guess it. Nothing: no such student.
  virtual Result<std::optional<std::string>> token(Id id) = 0;
  virtual Result<std::optional<Id>> student_of_token(const std::string& token) = 0;

  virtual Result<Id> add_group(const Group& group) = 0;
  virtual Result<std::optional<Group>> find_group(Id id) = 0;
  virtual Result<std::vector<Group>> groups() = 0;
  virtual Result<bool> change_group(const Group& group) = 0;
  virtual Result<bool> remove_group(Id id) = 0;
};

}  // namespace endpin::book
