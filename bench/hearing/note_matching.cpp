#include "note_matching.h"

#include <algorithm>
#include <cmath>

namespace endpin::measures {
namespace {

double rounded(double seconds) { return std::round(seconds * 1e4) / 1e4; }

bool near_in_time(Seconds a, Seconds b, double tolerance) {
  return rounded(std::abs(a.value() - b.value())) <= tolerance;
}

bool may_pair(const SoundedNote& truth, const SoundedNote& found, const MatchOptions& options) {
  if (!near_in_time(truth.onset, found.onset, options.onset_tolerance.value())) return false;
  if (100 * std::abs(truth.midi - found.midi) > options.pitch_tolerance.value()) return false;
  if (!options.with_offsets) return true;
  const double length = (truth.offset - truth.onset).value();
  return near_in_time(truth.offset, found.offset,
                      std::max(options.offset_least.value(), options.offset_share * length));
}

class Augmenter {
 public:
  Augmenter(const std::vector<std::vector<int>>& edges, std::size_t rights)
      : edges_(edges), right_of_(edges.size(), -1), left_of_(rights, -1), seen_(rights, -1) {}

  std::vector<int> run() {
    for (std::size_t left = 0; left < edges_.size(); ++left) {
      augment(static_cast<int>(left), static_cast<int>(left));
    }
    return right_of_;
  }

 private:
  bool augment(int left, int round) {
    for (const int right : edges_[static_cast<std::size_t>(left)]) {
      const auto r = static_cast<std::size_t>(right);
      if (seen_[r] == round) continue;
      seen_[r] = round;
      if (left_of_[r] >= 0 && !augment(left_of_[r], round)) continue;
      left_of_[r] = left;
      right_of_[static_cast<std::size_t>(left)] = right;
      return true;
    }
    return false;
  }

  const std::vector<std::vector<int>>& edges_;
  std::vector<int> right_of_;
  std::vector<int> left_of_;
  std::vector<int> seen_;
};

}  // namespace

std::vector<int> greatest_matching(const std::vector<std::vector<int>>& edges, std::size_t rights) {
  return Augmenter(edges, rights).run();
}

std::vector<std::pair<std::size_t, std::size_t>> match_notes(const std::vector<SoundedNote>& truth,
                                                             const std::vector<SoundedNote>& found,
                                                             const MatchOptions& options) {
  std::vector<std::vector<int>> edges(truth.size());
  for (std::size_t i = 0; i < truth.size(); ++i) {
    for (std::size_t j = 0; j < found.size(); ++j) {
      if (may_pair(truth[i], found[j], options)) edges[i].push_back(static_cast<int>(j));
    }
  }
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  const auto partner = greatest_matching(edges, found.size());
  for (std::size_t i = 0; i < partner.size(); ++i) {
    if (partner[i] >= 0) pairs.emplace_back(i, static_cast<std::size_t>(partner[i]));
  }
  return pairs;
}

MatchCounts& MatchCounts::operator+=(const MatchCounts& other) {
  matched += other.matched;
  truth += other.truth;
  found += other.found;
  return *this;
}

MatchCounts count_matches(const std::vector<SoundedNote>& truth,
                          const std::vector<SoundedNote>& found, const MatchOptions& options) {
  return {static_cast<int>(match_notes(truth, found, options).size()),
          static_cast<int>(truth.size()), static_cast<int>(found.size())};
}

}  // namespace endpin::measures
