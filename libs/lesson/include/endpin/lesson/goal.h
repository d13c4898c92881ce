#pragma once

#include <optional>
#include <string>
#include <vector>

#include "endpin/hearing/hearing.h"
#include "endpin/lesson/drill.h"
#include "endpin/words/sentence.h"

namespace endpin {

/// Who set a goal.
enum class GoalSource { teacher, heard, score };
std::string_view name(GoalSource source);

/// One thing to reach this week.
struct Goal {
  GoalSource source = GoalSource::score;
  Trouble trouble = Trouble::other;
  std::vector<std::string> bars;  ///< printed numbers
  std::string words;              ///< the teacher's; empty: the sentences below
  Sentence for_child;
  Sentence for_adult;

  /// The teacher's words as they are, else the sentence in `language`.
  std::string said(bool adult, Language language) const;
};

/// A sentence of the teacher's own.
struct Remark {
  std::string words;
  std::optional<FindingKind> kind{};  ///< said where such a finding is; nothing: said in any case

  bool operator==(const Remark&) const = default;
};

inline constexpr int most_goals = 3;

/// At most three: the teacher's remarks that are said in any case, then the places in their order;
/// those of one trouble share a goal. A goal from a finding is said in the teacher's words where
/// there is a remark of its kind. A goal names at most four bars, or it would be none for a week.
std::vector<Goal> goals(const Part& part, const std::vector<DrillPlace>& places,
                        const std::vector<Remark>& remarks = {});

}  // namespace endpin
