#include "endpin/lesson/warm_up.h"

#include <gtest/gtest.h>

#include "tune_of_chance.h"

namespace endpin {
namespace {

const WarmUp* find(const std::vector<WarmUp>& all, std::string_view recipe) {
  for (const WarmUp& one : all) {
    if (one.recipe == recipe) return &one;
  }
  return nullptr;
}

std::vector<std::string> pitches(const WarmUp& warm_up) {
  std::vector<std::string> result;
  for (const Phrase& phrase : warm_up.phrases) {
    for (const LineNote& t : phrase) result.push_back(t.pitch ? t.pitch->text() : "rest");
  }
  return result;
}

TEST(SignatureAlter, FollowsTheOrderOfSharpsAndFlats) {
  // Sharps F C G D A E B; flats B E A D G C F.
  constexpr Step sharps[] = {Step::f, Step::c, Step::g, Step::d, Step::a, Step::e, Step::b};
  for (int fifths = -7; fifths <= 7; ++fifths) {
    for (int i = 0; i < 7; ++i) {
      const int expected = i < fifths ? 1 : 6 - i < -fifths ? -1 : 0;
      EXPECT_EQ(signature_alter(sharps[i], fifths), expected) << fifths << ' ' << i;
    }
  }
}

TEST(WarmUps, OfGMajorOnTheCelloAreTheOctaveFromTheOpenG) {
  const auto tune =
      chance_tune(1, instrument(InstrumentKind::cello), "first-position", 1, false, metre(4, 4));
  const auto all = warm_ups(tune.material());
  const WarmUp* scale = find(all, "scale");
  ASSERT_NE(scale, nullptr);
  EXPECT_EQ(scale->title.key, "warm-up.scale.major");
  EXPECT_EQ(scale->title.args.at("tonic"), "G");
  EXPECT_EQ(pitches(*scale),
            (std::vector<std::string>{"G2", "A2", "B2", "C3", "D3", "E3", "F#3", "G3", "F#3", "E3",
                                      "D3", "C3", "B2", "A2", "G2"}));
  EXPECT_EQ(scale->phrases[0][0].duration, Beats(2));
  EXPECT_EQ(length(scale->phrases[0]), Beats(32));
}

TEST(WarmUps, OfABassAreWrittenAnOctaveAboveTheirSound) {
  const auto tune =
      chance_tune(1, instrument(InstrumentKind::bass), "first-position", 1, false, metre(4, 4));
  const auto all = warm_ups(tune.material());
  const WarmUp* crossing = find(all, "crossing");
  ASSERT_NE(crossing, nullptr);
  const int lowest = crossing->phrases[0][0].pitch->midi();
  bool is_open = false;
  for (const SpelledPitch& open : tune.instrument->strings) is_open |= open.midi() + 12 == lowest;
  EXPECT_TRUE(is_open);
}

TEST(WarmUps, OnOpenStringsStayOnOpenStrings) {
  const auto tune =
      chance_tune(3, instrument(InstrumentKind::cello), "open-strings", 1, false, metre(4, 4));
  const auto all = warm_ups(tune.material());
  EXPECT_FALSE(all.empty());
  for (const WarmUp& one : all) {
    for (const Phrase& phrase : one.phrases) {
      for (const LineNote& t : phrase) {
        if (!t.pitch) continue;
        const auto& strings = tune.instrument->strings;
        EXPECT_NE(std::find(strings.begin(), strings.end(), *t.pitch), strings.end()) << one.recipe;
      }
    }
  }
}

// Playable within the step, and bars that add up, in all keys, metres and instruments.
TEST(WarmUps, ArePlayableAndFillTheirBarsInEveryKeyAndMetre) {
  const TimeSignature metres[] = {metre(2, 4), metre(3, 4), metre(4, 4), metre(6, 8), metre(5, 8)};
  const char* const steps[] = {"open-strings", "first-position", "extensions", "neck-positions"};
  unsigned seed = 1;
  int made = 0;
  for (const InstrumentKind kind : all_instruments) {
    for (int fifths = -7; fifths <= 7; ++fifths) {
      for (const TimeSignature& time : metres) {
        const std::string step = steps[seed % 4];
        const bool minor = seed % 3 == 0;
        if (reachable(instrument(kind), step, {fifths, minor}).empty()) continue;
        const ChanceTune tune = chance_tune(++seed, instrument(kind), step, fifths, minor, time);
        const Material material = tune.material();
        for (const WarmUp& one : warm_ups(material)) {
          ++made;
          for (const Phrase& phrase : one.phrases) {
            for (const LineNote& t : phrase) {
              ASSERT_GT(t.duration, Beats(0));
              if (t.pitch) {
                EXPECT_TRUE(material.playable(sounding(*t.pitch, material.transposition())))
                    << one.recipe << ' ' << t.pitch->text() << ' ' << step << ' ' << fifths;
              }
            }
          }
          for (const Bar& bar : lay_into_bars(one.phrases, one.time)) {
            Beats sum;
            for (const Note& note : bar.notes) {
              EXPECT_EQ(note.onset, sum);
              EXPECT_EQ(note.written->beats(), note.duration);
              sum += note.duration;
            }
            EXPECT_EQ(sum, bar.length) << one.recipe;
          }
        }
      }
    }
  }
  EXPECT_GT(made, 600);
}

}  // namespace
}  // namespace endpin
