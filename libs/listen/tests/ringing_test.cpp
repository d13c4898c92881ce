// Notes that begin while others sound on.
#include <gtest/gtest.h>

#include "features/pitch_evidence.h"
#include "played.h"

namespace endpin::listen {
namespace {

TEST(PitchEvidence, SeesANoteRiseBesideALouderOneThatSoundsOn) {
  Recording r(3);
  r.add({0.2, 2.6, 62.0, 0.2}).add({1.5, 1.3, 69.0, 0.1});
  const SoundFeatures sound = sound_features(r.view(), {}, {});
  const PitchEvidence pitch(sound, 40, 96, 0);
  const auto at = [&](double s) { return static_cast<std::size_t>(s / sound.pitch_step_s()); };
  std::size_t top = at(1.2);
  for (std::size_t f = at(1.2); f < at(1.8); ++f) {
    if (pitch.rise(f, 69) > pitch.rise(top, 69)) top = f;
  }
  EXPECT_NEAR(static_cast<double>(top) * sound.pitch_step_s(), 1.5, 0.03);
  EXPECT_GT(pitch.rise(top, 69), 0.6F);
  EXPECT_LT(pitch.rise(at(1.0), 69), 0.1F);
}

// A room of some 1.5 s: every note goes on softer, as loud together as what comes directly.
TEST(Hear, PlacesNotesThatBeginInTheRoomOfThoseBefore) {
  const std::vector<int> melody{67, 71, 69, 74, 72, 76, 71, 67, 69, 66, 67, 74};
  const Tune tune(melody);
  Recording r(10);
  for (std::size_t i = 0; i < melody.size(); ++i) {
    const double onset = 0.5 + static_cast<double>(i) * 2 / 3;
    r.add({onset, 0.63, static_cast<double>(melody[i])});
    for (int k = 0; k < 5; ++k) {  // 40 dB a second
      const double tail = 0.14 * std::pow(10.0, -0.3 * k);
      r.add({onset + 0.55 + 0.15 * k, 0.18, static_cast<double>(melody[i]), tail});
    }
  }
  const Hearing h = hear_one(tune, r);
  ASSERT_EQ(h.status, HearingStatus::ok);
  for (const NoteHearing& n : h.notes) {
    ASSERT_TRUE(n.heard) << n.index;
    EXPECT_NEAR(n.heard->onset.value(), 0.5 + n.index * 2.0 / 3, 0.05) << n.index;
  }
}

TEST(Hear, GoesOnWhereItWasAfterABarThatIsNotWritten) {
  const Tune tune({67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74});
  Tune longer({67, 69, 71, 72, 74, 71, 67, 69, 68, 75, 70, 63, 71, 67, 74, 76, 78, 79, 76, 74});
  const Hearing h = hear_one(tune, play(longer, all_of(longer)));
  ASSERT_EQ(h.status, HearingStatus::ok);
  for (const NoteHearing& n : h.notes) {
    ASSERT_TRUE(n.heard) << n.index;
    const int played = n.index < 8 ? n.index : n.index + 4;
    EXPECT_NEAR(n.heard->onset.value(), 0.5 + played * 2.0 / 3, 0.03) << n.index;
  }
}

}  // namespace
}  // namespace endpin::listen
