// The seam for measuring changes nothing by itself, and what is put into it is used.
#include "between_stages.h"

#include <gtest/gtest.h>

#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{64, 66, 68, 69, 71, 69, 68, 66, 64, 71, 76, 71};
constexpr double first_s = 0.5, step_s = 0.5;

const Recording& recording() {
  static const Recording once = [] {
    Recording r(first_s + step_s * static_cast<double>(melody.size()) + 1);
    double at = first_s;
    for (const int m : melody) r.add({at, 0.95 * step_s, static_cast<double>(m)}), at += step_s;
    return r;
  }();
  return once;
}

Hearing heard(const StagedOptions& options) {
  const Tune tune(melody);
  return hear_staged(std::span(&tune.timeline, 1), recording().view(), options);
}

TEST(BetweenStages, NothingPutBetweenChangesNothing) {
  const Tune tune(melody);
  const std::string shipped =
      to_json(hear(std::span(&tune.timeline, 1), recording().view(), HearOptions{}));
  EXPECT_EQ(to_json(heard({})), shipped);
  BetweenStages nobody;
  EXPECT_EQ(to_json(heard({{}, {}, &nobody})), shipped);
}

TEST(BetweenStages, AnOptionOfHearingIsPassedOn) {
  EXPECT_TRUE(heard({{.a4 = Hertz(442)}, {}, nullptr}).reference.a4_given);
}

TEST(BetweenStages, APathPutInTheCoarseOnesPlaceIsFollowed) {
  struct Half : BetweenStages {
    void path(const ScoreModel&, std::span<const Candidate>, Path& path) override {
      path.placed.resize(path.placed.size() / 2);
    }
  } half;
  const Hearing hearing = heard({{}, {}, &half});
  EXPECT_EQ(hearing.notes[melody.size() / 2 - 1].state, NoteState::heard);
  EXPECT_EQ(hearing.notes[melody.size() / 2].state, NoteState::not_reached);
}

TEST(BetweenStages, OnsetsPutInTheFineOnesPlaceAreMeasuredFrom) {
  struct Later : BetweenStages {
    void events(const ScoreModel&, const Observations&, std::vector<Fine>& events) override {
      for (Fine& f : events) f.onset_s += 0.02;
    }
  } later;
  const Hearing usual = heard({}), moved = heard({{}, {}, &later});
  for (std::size_t i = 0; i < melody.size(); ++i) {
    ASSERT_TRUE(usual.notes[i].heard && moved.notes[i].heard);
    EXPECT_NEAR((moved.notes[i].heard->onset - usual.notes[i].heard->onset).value(), 0.02, 1e-9);
  }
}

// A wrong note that is placed in the middle of its tone begins where that tone does: what was
// measured of the other place is measured again or not known.
TEST(BetweenStages, ANoteThatIsGivenItsBeginningHasNothingOfTheOldPlace) {
  constexpr std::size_t wrong = 4;
  struct Late : BetweenStages {
    void events(const ScoreModel&, const Observations&, std::vector<Fine>& events) override {
      events[wrong].onset_s += 0.25;
      events[wrong - 1].next_s = events[wrong].onset_s;
    }
  } late;
  std::vector<int> played = melody;
  played[wrong] += 3;
  Recording r(first_s + step_s * static_cast<double>(melody.size()) + 1);
  for (std::size_t i = 0; i < played.size(); ++i) {
    const double at = first_s + step_s * static_cast<double>(i);
    r.add({at, 0.95 * step_s, static_cast<double>(played[i])});
  }
  const Tune tune(melody);
  const auto hear_with = [&](BetweenStages* between) {
    return hear_staged(std::span(&tune.timeline, 1), r.view(), {{}, {}, between}).notes[wrong];
  };
  const NoteHearing usual = hear_with(nullptr), moved = hear_with(&late);
  ASSERT_TRUE(usual.heard && moved.heard);
  EXPECT_EQ(moved.state, NoteState::wrong);
  EXPECT_NEAR((moved.heard->onset - usual.heard->onset).value(), 0, 0.03);
  EXPECT_FALSE(moved.heard->onset_uncertainty);
  EXPECT_FALSE(moved.heard->deviation_ms || moved.heard->deviation_uncertainty_ms);
  EXPECT_FALSE(moved.heard->sounding_ratio || moved.heard->sounding_ratio_uncertainty);
  EXPECT_FALSE(moved.heard->fall);
  EXPECT_NEAR(moved.heard->attack.value(), usual.heard->attack.value(), 0.5);
  EXPECT_NEAR(moved.heard->dip.value().value(), usual.heard->dip.value().value(), 3);
  EXPECT_NEAR(moved.heard->level.value().value(), usual.heard->level.value().value(), 1);
}

TEST(BetweenStages, BarsAreTheMeansOfNotesPutIn) {
  struct Flat : BetweenStages {
    void notes(const Aligned&, Hearing& hearing) override {
      for (NoteHearing& n : hearing.notes) {
        if (n.heard) n.heard->intonation = Cents(-33);
      }
    }
  } flat;
  const Hearing hearing = heard({{}, {}, &flat});
  ASSERT_FALSE(hearing.bars.empty());
  for (const BarHearing& b : hearing.bars) EXPECT_NEAR(b.intonation->value(), -33, 1e-9);
}

// What is left out is left out: the features of a frame, the moments, the way, the measures.
TEST(BetweenStages, EvidenceLeftOutIsNotUsed) {
  const SoundFeatures sound = sound_features(recording().view(), {}, {});
  const PitchEvidence all(sound, 52, 88, 0);
  const auto middle = static_cast<std::size_t>((first_s + 0.5 * step_s) / sound.pitch_step_s());
  const auto without = [&](bool Evidence::*kind) {
    Evidence uses;
    uses.*kind = false;
    return uses;
  };
  const PitchEvidence fundamental(sound, 52, 88, 0, without(&Evidence::overtones));
  EXPECT_EQ(fundamental.salience(middle, melody[0] - 12), 0);
  const PitchEvidence harmonics(sound, 52, 88, 0, without(&Evidence::between));
  EXPECT_GT(harmonics.salience(middle, melody[0] - 12), all.salience(middle, melody[0] - 12));
  EXPECT_LE(candidates(sound, all, without(&Evidence::pitch_change)).size(),
            candidates(sound, all).size());
  EXPECT_EQ(Observations(sound, all, without(&Evidence::company)).beside(), 0);
}

}  // namespace
}  // namespace endpin::listen
