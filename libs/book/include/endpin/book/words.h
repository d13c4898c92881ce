#pragma once

#include <functional>
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
  /// Each of a take's becomes one about the finding that `to` names, and keeps its time. Nobody
  /// decides in between. Where two come to the same finding the newer stays.
  virtual Result<void> move_decisions(Id take,
                                      const std::function<std::string(const Decision&)>& to) = 0;

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
