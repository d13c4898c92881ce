#include "endpin/perform/sound_bank.h"

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "endpin/media/encode.h"
#include "endpin/perform/fluid_sounds.h"

#include "ears.h"
#include "tune.h"

namespace endpin {
namespace {

using testing_tunes::tune;

SoundBank bank_of(const Timeline& timeline, std::size_t most = 16) {
  const auto sounds = FluidSounds::open(timeline.instrument);
  ToneBank tones(**sounds);
  auto bank = sound_bank(timeline, tones, most);
  EXPECT_TRUE(bank) << bank.error().line();
  return std::move(bank).value();
}

/// `tone` as a page plays it: to the loop's end, then round and round.
Audio looped(const SoundBank& bank, const BankTone& tone, double seconds) {
  const auto at = [&](Seconds time) {
    return static_cast<std::size_t>(std::lround(time.value() * bank.audio.rate));
  };
  Audio out{bank.audio.rate, {}};
  std::size_t from = at(tone.start);
  while (out.duration().value() < seconds) {
    out.samples.push_back(bank.audio.samples[from]);
    if (++from == at(tone.loop_end)) from = at(tone.loop_start);
  }
  return out;
}

TEST(SoundBank, HoldsTonesThatLoopInTuneAndWithoutASeam) {
  const SoundBank bank = bank_of(tune({{38, Beats(1)}, {50, Beats(1)}, {62, Beats(1)}}));
  for (const BankTone& tone : bank.tones) {
    const Audio heard = looped(bank, tone, 5);
    EXPECT_NEAR(ears::mean_cents(heard, 0.1, 4.9, tone.midi), 0, 3) << tone.midi;
    const double settled = ears::rms(heard, 0.3, 4.9);
    for (double t = 0.3; t < 4.9; t += 0.02) {
      EXPECT_NEAR(ears::decibels(ears::rms(heard, t - 0.03, t + 0.03) / settled), 0, 3)
          << tone.midi << " at " << t;
    }
  }
}

TEST(SoundBank, HoldsTheTonesOfThePieceAndOfItsDrone) {
  const SoundBank bank = bank_of(tune({{50, Beats(1)}, {54, Beats(1)}}));
  std::vector<int> pitches;
  for (const BankTone& tone : bank.tones) pitches.push_back(tone.midi);
  EXPECT_THAT(pitches, testing::ElementsAre(36, 43, 50, 54));  // C major: C2 and G2
}

TEST(SoundBank, ThinsOutManyPitchesToWithinASemitoneOrTwo) {
  std::vector<testing_tunes::Written> chromatic;
  for (int midi = 36; midi <= 64; ++midi) chromatic.push_back({midi, Beats(1)});
  const SoundBank bank = bank_of(tune(chromatic), 12);
  ASSERT_EQ(bank.tones.size(), 12U);
  EXPECT_EQ(bank.tones.front().midi, 36);
  EXPECT_EQ(bank.tones.back().midi, 64);
  for (std::size_t i = 1; i < bank.tones.size(); ++i) {
    EXPECT_LE(bank.tones[i].midi - bank.tones[i - 1].midi, 3);
  }
}

TEST(SoundBank, OfAWholeOctaveFitsIntoAPage) {
  std::vector<testing_tunes::Written> chromatic;
  for (int midi = 50; midi <= 62; ++midi) chromatic.push_back({midi, Beats(1)});
  const auto flac = encode(bank_of(tune(chromatic)).audio, AudioFormat::flac);
  ASSERT_TRUE(flac);
  EXPECT_LT(flac->size(), 750'000U);  // a third more in base64: 1 MB
}

TEST(SoundBank, NamesItsTonesInJson) {
  Timeline timeline = tune({{50, Beats(1)}, {62, Beats(1)}});
  timeline.notes[1].plucked = true;
  const std::string json = bank_to_json(bank_of(timeline));
  EXPECT_THAT(json, testing::HasSubstr(R"("schema":"endpin.bank/1","instrument":"cello")"));
  EXPECT_THAT(json, testing::HasSubstr(R"({"technique":"plucked","midi":62)"));
  EXPECT_THAT(json, testing::HasSubstr(R"("loop_start_s":null)"));
}

}  // namespace
}  // namespace endpin
