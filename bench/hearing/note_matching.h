#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "endpin/base/units.h"

/// Note transcription measures as mir_eval defines them (Raffel, McFee, Humphrey, Salamon, Nieto,
/// Liang, Ellis: "mir_eval: a transparent implementation of common MIR metrics", ISMIR 2014).
namespace endpin::measures {

struct SoundedNote {
  Seconds onset;
  Seconds offset;
  double midi = 60;  ///< pitch in semitones, fractions are cents / 100
};

/// A true and a found note may be paired if their onsets differ by at most `onset_tolerance`, their
/// pitches by at most `pitch_tolerance` and, with offsets, their offsets by at most the greater of
/// `offset_least` and `offset_share` of the true note's length. Times are compared after rounding
/// to 0.1 ms, as mir_eval does, so that a difference of exactly the tolerance is inside it.
struct MatchOptions {
  Seconds onset_tolerance{0.05};
  Cents pitch_tolerance{50};
  bool with_offsets = false;
  double offset_share = 0.2;
  Seconds offset_least{0.05};
};

/// Pairs of indices (true, found): a matching of the greatest size, each note in at most one pair.
/// O(pairs allowed · notes) at worst, linear in practice.
std::vector<std::pair<std::size_t, std::size_t>> match_notes(const std::vector<SoundedNote>& truth,
                                                             const std::vector<SoundedNote>& found,
                                                             const MatchOptions& options = {});

/// Precision, recall and their harmonic mean; each is 0 where its denominator is.
struct MatchCounts {
  int matched = 0;
  int truth = 0;
  int found = 0;
  double precision() const { return found > 0 ? 1.0 * matched / found : 0; }
  double recall() const { return truth > 0 ? 1.0 * matched / truth : 0; }
  double f() const { return truth + found > 0 ? 2.0 * matched / (truth + found) : 0; }
  MatchCounts& operator+=(const MatchCounts& other);
};
MatchCounts count_matches(const std::vector<SoundedNote>& truth,
                          const std::vector<SoundedNote>& found, const MatchOptions& options = {});

/// A matching of the greatest size in a bipartite graph: `edges[left]` lists the rights that it may
/// take. Returns for each left its right, or -1. Augmenting paths (Kuhn 1955, Berge 1957).
std::vector<int> greatest_matching(const std::vector<std::vector<int>>& edges, std::size_t rights);

}  // namespace endpin::measures
