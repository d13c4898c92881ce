#pragma once

#include <optional>
#include <string>
#include <vector>

#include "endpin/book/students.h"

namespace endpin::book {

/// What the teacher says to one finding.
struct Decision {
  std::string finding;
  std::string verdict;  ///< "accepted", "reworded" or "rejected"
  std::string words;    ///< the teacher's, for reworded
  std::string at;
};

/// A sentence to use again.
struct Remark {
  Id id = 0;
  std::string words;
  std::string kind;  ///< of finding; empty: any
  std::string language;
};

/// The teacher's own words about takes. They go with the take.
class TeachersWords {
 public:
  virtual ~TeachersWords() = default;
  virtual Result<std::vector<Decision>> decisions(Id take) = 0;
  virtual Result<void> decide(Id take, const Decision& decision) = 0;
  virtual Result<bool> undecide(Id take, const std::string& finding) = 0;
  /// All of a take's at once, each with its own time, in the place of those that were there.
  virtual Result<void> replace_decisions(Id take, const std::vector<Decision>& decisions) = 0;

  /// Nothing: the teacher has not written one.
  virtual Result<std::optional<std::string>> message(Id take) = 0;
  virtual Result<void> set_message(Id take, const std::optional<std::string>& words) = 0;
  /// JSON of the caller; empty until the teacher fills it.
  virtual Result<std::string> rubric(Id take) = 0;
  virtual Result<void> set_rubric(Id take, const std::string& rows) = 0;

  virtual Result<std::vector<Remark>> remarks() = 0;
  virtual Result<Id> add_remark(const Remark& remark) = 0;
  virtual Result<bool> change_remark(const Remark& remark) = 0;
  virtual Result<bool> remove_remark(Id id) = 0;
};

}  // namespace endpin::book
