#pragma once

#include <cstddef>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/units.h"

namespace endpin {

/// From `at` (played quarters) on, `tempo` holds.
struct TempoChange {
  Beats at;
  Bpm tempo;  ///< quarters a minute, above 0

  bool operator==(const TempoChange&) const = default;
};

/// The only thing that turns beats into seconds: a tempo for every place, constant between changes.
class TempoMap {
 public:
  /// `changes` in ascending order; the first holds from the beginning, wherever it stands.
  /// REQUIRES: not empty, strictly ascending, every tempo above 0.
  explicit TempoMap(std::vector<TempoChange> changes);
  explicit TempoMap(Bpm tempo) : TempoMap(std::vector{TempoChange{Beats(0), tempo}}) {}

  const std::vector<TempoChange>& changes() const { return changes_; }
  Bpm tempo_at(Beats at) const;
  /// Time of `at` after the beginning. O(log changes).
  Seconds seconds_at(Beats at) const;
  /// Every tempo multiplied by `factor`. REQUIRES: factor > 0.
  TempoMap scaled(double factor) const;

  bool operator==(const TempoMap& other) const { return changes_ == other.changes_; }

 private:
  std::size_t change_before(Beats at) const;

  std::vector<TempoChange> changes_;
  std::vector<Seconds> starts_;  // starts_[i]: the time of changes_[i].at
};

}  // namespace endpin
