#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "endpin/book/students.h"

namespace endpin::book {

/// A piece made fit for a mixed class: for whom, in which key, with which lines.
struct ClassSet {
  Id id = 0;
  Id piece = 0;
  std::string folder_name;
  std::string wanted;            ///< JSON of the caller: instruments, steps, key, lines
  std::string state = "making";  ///< "making", "ready", "failed" or "stopped"
  std::optional<Error> failure;
  std::string created;

  std::string piece_title;  ///< added by the book
};

class ClassSets {
 public:
  virtual ~ClassSets() = default;
  virtual Result<Id> add(const ClassSet& set) = 0;
  virtual Result<std::optional<ClassSet>> find(Id id) = 0;
  /// Newest first; of one piece or of all.
  virtual Result<std::vector<ClassSet>> list(std::optional<Id> piece) = 0;
  /// State and failure.
  virtual Result<bool> change(const ClassSet& set) = 0;
  virtual Result<bool> remove(Id id) = 0;
  virtual std::filesystem::path folder(const ClassSet& set) const = 0;
};

}  // namespace endpin::book
