#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "endpin/book/students.h"

namespace endpin::book {

/// What each finding of a take is by itself, by the id that the newest hearing gives it. Ids mean
/// other findings once the take is heard again; a mark stays true. A mark begins with "@", as no id
/// does.
using FindingMarks = std::map<std::string, std::string>;

/// What the teacher says to one finding.
struct Decision {
  std::string finding;  ///< its id; its mark where the newest hearing did not find it
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

/// The teacher's own words about takes. They go with the take. A decision is kept under its
/// finding's mark from the beginning on: whatever a take's next hearing finds, it is about the
/// same.
class TeachersWords {
 public:
  virtual ~TeachersWords() = default;
  virtual Result<std::vector<Decision>> decisions(Id take) = 0;
  /// `finding` is an id of the newest hearing, also while the take is heard again, or a mark.
  virtual Result<void> decide(Id take, const Decision& decision) = 0;
  virtual Result<bool> undecide(Id take, const std::string& finding) = 0;
  /// Whether the book knows what the take's findings are: not where an earlier version heard it.
  virtual Result<bool> knows_findings(Id take) = 0;
  /// What the take's findings are, where the book does not know it yet: decisions that are under
  /// ids go under marks. `Takes::heard` keeps those of a new hearing.
  virtual Result<void> know_findings(Id take, const FindingMarks& marks) = 0;

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
