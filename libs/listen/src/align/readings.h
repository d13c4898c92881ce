#pragma once

#include <span>
#include <vector>

#include "align/run.h"

namespace endpin::listen {

/// Where a boundary may lie, around the frame that was chosen.
struct Marginal {
  double share = 0;     ///< of the likelihood within 50 ms of it
  double spread_s = 0;  ///< standard deviation from it
};
Marginal marginal(const std::vector<float>& log_likelihood, int chosen, double step_s);

/// The durations that are written draw a note that is played in another rhythm, and its neighbours,
/// to where they would stand. Each plain rhythm of two notes is another reading of what sounds.
class Readings {
 public:
  /// REQUIRES: `run` was searched. All outlive it.
  Readings(const ScoreModel& score, const Observations& seen, Run& run);

  /// Expects each pair in the rhythm in which the run is likeliest, all places being free, another
  /// than the written one at its cost, and searches the run again where there is one; whether it
  /// did. `frames` and `score` are those of the best way through the run. O(pairs · window²).
  bool expect_others(const std::vector<int>& frames, float score);

  /// Moves stages to where, between their neighbours, another rhythm than the expected one is
  /// likelier by its cost. Where what sounds tells the place of itself, the place is as sure as
  /// that. O(frames).
  void compare(std::vector<int>& frames, std::vector<Marginal>& marginals);

 private:
  struct Reading {
    int place;
    double score;
  };
  // Stages k - 1 and k with the time that each is expected to take.
  struct Shared {
    std::size_t k;
    double first_s, second_s;
    float score;
  };

  bool is_read(const std::vector<int>& frames, std::size_t k) const;
  void find_likely(const std::vector<int>& frames, std::size_t k);
  double expected_share(std::size_t k) const;
  Shared likeliest_other(const std::vector<int>& frames, std::size_t k);
  // Which stages are expected to take another time than before.
  std::vector<bool> expect(std::vector<Shared> others);
  Reading read_as(double share) const;
  int best_place(double expected, int placed) const;

  const ScoreModel& score_;
  const Observations& seen_;
  Run& run_;
  std::vector<float> likely_;
};

}  // namespace endpin::listen
