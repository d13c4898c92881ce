#include "measure/doubts.h"

#include <cmath>

#include <gtest/gtest.h>

#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};

// A probability keeps the order of what it is made from, and is never certain.
TEST(Doubts, AProbabilityRisesWithItsScore) {
  double before = 0;
  for (double score = -0.1; score <= 1.1; score += 0.01) {
    const double p = calibrated(score);
    EXPECT_GE(p, before) << score;
    EXPECT_GT(p, 0) << score;
    EXPECT_LT(p, 1) << score;
    before = p;
  }
}

TEST(Doubts, ABeginningThatTheSearchIsLessSureOfIsMoreUncertain) {
  Event stroke, first;
  first.first = true;
  Fine sure, doubtful;
  sure.onset_spread_s = 0.004;
  doubtful.onset_spread_s = 0.02;
  EXPECT_LT(onset_doubt_s(stroke, sure), onset_doubt_s(stroke, doubtful));
  EXPECT_LE(onset_doubt_s(first, doubtful), onset_doubt_s(stroke, doubtful));
}

// Every error of what is known by construction lies within three standard errors.
TEST(Doubts, EveryMeasureOfANoteHasOneThatItsErrorKeeps) {
  const Tune tune(melody);
  const Hearing h = hear_one(tune, play(tune, all_of(tune)));
  ASSERT_EQ(h.status, HearingStatus::ok);
  for (const NoteHearing& n : h.notes) {
    ASSERT_TRUE(n.heard) << n.index;
    const HeardNote& heard = *n.heard;
    ASSERT_TRUE(heard.onset_uncertainty && heard.offset_uncertainty) << n.index;
    EXPECT_LE(std::abs(heard.onset.value() - (0.5 + n.index * 2.0 / 3)),
              3 * heard.onset_uncertainty->value())
        << n.index;
    EXPECT_EQ(heard.deviation_ms.has_value(), heard.deviation_uncertainty_ms.has_value());
    EXPECT_EQ(heard.sounding_ratio.has_value(), heard.sounding_ratio_uncertainty.has_value());
    if (heard.deviation_ms) {
      EXPECT_LE(std::abs(*heard.deviation_ms), 3 * *heard.deviation_uncertainty_ms) << n.index;
    }
  }
  ASSERT_TRUE(h.tempo.bpm && h.tempo.bpm_uncertainty);
  EXPECT_NEAR(*h.tempo.bpm, 90, std::max(0.3, 3 * *h.tempo.bpm_uncertainty));
  ASSERT_TRUE(h.reference.a4_uncertainty);
  EXPECT_NEAR(interval(standard_a4, *h.reference.a4).value(), 0,
              3 * h.reference.a4_uncertainty->value());
}

TEST(Doubts, AGivenA4HasNone) {
  const Tune tune(melody);
  HearOptions options;
  options.a4 = Hertz(440);
  const Recording r = play(tune, all_of(tune));
  const Hearing h = hear(std::span(&tune.timeline, 1), r.view(), options);
  ASSERT_EQ(h.status, HearingStatus::ok);
  EXPECT_TRUE(h.reference.a4_given);
  EXPECT_FALSE(h.reference.a4_uncertainty);
}

}  // namespace
}  // namespace endpin::listen
