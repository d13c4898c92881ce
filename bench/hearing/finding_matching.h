#pragma once

#include <map>
#include <vector>

#include "endpin/hearing/hearing.h"

#include "note_matching.h"

namespace endpin::measures {

/// A finding that ought to come out of a take.
struct TrueFinding {
  FindingKind kind = FindingKind::missed;
  std::vector<int> notes;  ///< indices that it is about; empty: told by its time alone
  Seconds from;
  Seconds to;
};

/// Which findings are right: one to one, of the same kind, sharing a note; where one of the two
/// names no note, overlapping in time, give or take 0.3 s. Findings of a good tone are passed over.
/// `tolerated` are true of the take as well without having to be said: a finding that fits one of
/// them counts neither for nor against.
struct FindingMatch {
  std::map<FindingKind, MatchCounts> by_kind;
  std::vector<const Finding*> false_findings;
  std::vector<const TrueFinding*> not_found;
};
FindingMatch match_findings(const std::vector<TrueFinding>& truth,
                            const std::vector<TrueFinding>& tolerated,
                            const std::vector<Finding>& found);

}  // namespace endpin::measures
