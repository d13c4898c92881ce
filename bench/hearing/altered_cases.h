#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "endpin/simulator/alter.h"

#include "evaluation.h"

/// Real faults with given sound: the score is changed under a take that was played right, or the
/// sound is cut.
namespace endpin::evaluation {

/// A take played right, what is heard of it with its own score, and when each note truly begins.
struct Base {
  const Recording& recording;
  Hearing hearing;
  std::map<int, std::pair<double, double>> truth;  ///< index -> onset, offset
  std::set<int> alone;                             ///< no chord, both neighbours with a truth
};
Base base_of(const Recording& recording);

struct AlteredCase {
  std::string name;
  simulator::Altered score;
  Audio audio;
  std::vector<FindingKind> kinds;  ///< any of them is right
  std::vector<int> notes;          ///< of the altered score
  double from_s = 0;               ///< in the audio
  double to_s = 0;
  std::optional<std::pair<int, double>> restart;  ///< destination and time
  double cut_from_s = 1e9;  ///< sound after it lies `cut_by_s` later than in the recording
  double cut_by_s = 0;
  /// `notes` in the other passes of the score: what is said of them is neither right nor false.
  std::vector<int> elsewhere;
};

/// `each` cases of every kind that finds a place, drawn by `seed`.
std::vector<AlteredCase> altered_cases(const Base& base, std::uint64_t seed, int each);

}  // namespace endpin::evaluation
