#include "note_matching.h"

#include <random>

#include <gtest/gtest.h>

namespace endpin::measures {
namespace {

SoundedNote note(double onset, double offset, double midi) {
  return {Seconds(onset), Seconds(offset), midi};
}

int most_pairs_by_trying(const std::vector<std::vector<int>>& edges, std::size_t left, int taken) {
  if (left == edges.size()) return 0;
  int best = most_pairs_by_trying(edges, left + 1, taken);
  for (const int right : edges[left]) {
    if ((taken & (1 << right)) != 0) continue;
    best = std::max(best, 1 + most_pairs_by_trying(edges, left + 1, taken | (1 << right)));
  }
  return best;
}

// Raffel et al. 2014: onset within ±50 ms, pitch within ±50 cents (a quarter tone), both inclusive.
TEST(NoteMatching, TakesATolerancesEdgeAsInside) {
  const std::vector truth{note(1.0, 2.0, 60)};
  EXPECT_EQ(count_matches(truth, {note(1.05, 2, 60)}).matched, 1);
  EXPECT_EQ(count_matches(truth, {note(1.0502, 2, 60)}).matched, 0);
  EXPECT_EQ(count_matches(truth, {note(1.0, 2, 60.5)}).matched, 1);
  EXPECT_EQ(count_matches(truth, {note(1.0, 2, 60.51)}).matched, 0);
}

// The offset may stray by a fifth of the true length, and by 50 ms at least (ibid.).
TEST(NoteMatching, AllowsOffsetsAFifthOfTheLength) {
  MatchOptions options;
  options.with_offsets = true;
  EXPECT_EQ(count_matches({note(0, 1, 60)}, {note(0, 1.2, 60)}, options).matched, 1);
  EXPECT_EQ(count_matches({note(0, 1, 60)}, {note(0, 1.21, 60)}, options).matched, 0);
  EXPECT_EQ(count_matches({note(0, 0.1, 60)}, {note(0, 0.15, 60)}, options).matched, 1);
  EXPECT_EQ(count_matches({note(0, 0.1, 60)}, {note(0, 0.16, 60)}, options).matched, 0);
}

TEST(NoteMatching, FindsPairsThatTakingTheNearestFirstWouldLose) {
  const std::vector truth{note(1.00, 2, 60), note(1.04, 2, 60)};
  const std::vector found{note(0.96, 2, 60), note(1.01, 2, 60)};
  EXPECT_EQ(count_matches(truth, found).matched, 2);
}

TEST(NoteMatching, CountsPrecisionRecallAndTheirHarmonicMean) {
  const std::vector truth{note(0, 1, 60), note(1, 2, 62), note(2, 3, 64), note(3, 4, 65)};
  const std::vector found{note(0, 1, 60), note(1, 2, 63)};
  const auto counts = count_matches(truth, found);
  EXPECT_DOUBLE_EQ(counts.precision(), 0.5);
  EXPECT_DOUBLE_EQ(counts.recall(), 0.25);
  EXPECT_DOUBLE_EQ(counts.f(), 2 * 0.5 * 0.25 / 0.75);
  EXPECT_DOUBLE_EQ(count_matches({}, {}).f(), 0);
}

TEST(NoteMatching, IsAsLargeAsTryingEveryPairingMakesIt) {
  std::mt19937 engine(7);
  for (int round = 0; round < 200; ++round) {
    std::vector<std::vector<int>> edges(6);
    for (auto& row : edges) {
      for (int right = 0; right < 6; ++right) {
        if (engine() % 3 == 0) row.push_back(right);
      }
    }
    const auto partner = greatest_matching(edges, 6);
    const auto pairs = std::count_if(partner.begin(), partner.end(), [](int p) { return p >= 0; });
    ASSERT_EQ(pairs, most_pairs_by_trying(edges, 0, 0));
  }
}

}  // namespace
}  // namespace endpin::measures
