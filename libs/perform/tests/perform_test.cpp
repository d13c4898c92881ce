#include "endpin/perform/perform.h"

#include <array>
#include <cmath>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "endpin/media/loudness.h"
#include "endpin/perform/fluid_sounds.h"

#include "ears.h"
#include "tune.h"

// Everything here is heard: measured on the samples, by other means than those that made them.
namespace endpin {
namespace {

using testing::HasSubstr;
using testing_tunes::quarters;
using testing_tunes::tune;
using testing_tunes::Written;

Performance played(const Timeline& timeline, const PerformOptions& options = {}) {
  auto sounds = FluidSounds::open(timeline.instrument);
  EXPECT_TRUE(sounds) << sounds.error().line();
  ToneBank tones(**sounds);
  auto performance = perform(timeline, options, tones);
  EXPECT_TRUE(performance) << performance.error().line();
  return std::move(performance).value();
}

std::string failure(const Timeline& timeline, const PerformOptions& options) {
  auto sounds = FluidSounds::open("cello");
  ToneBank tones(**sounds);
  const auto performance = perform(timeline, options, tones);
  return performance ? "no failure" : performance.error().line();
}

struct Range {
  const char* instrument;
  int lowest, highest;     // what a student plays, open string to upper positions
  double onset_tolerance;  // seconds
};
void PrintTo(const Range& range, std::ostream* out) { *out << range.instrument; }

class OnEveryInstrument : public testing::TestWithParam<Range> {
 protected:
  // Quarters a rest apart, so that each is heard alone.
  static Timeline scale(double bpm) {
    std::vector<Written> notes{{0, Beats(1), true}};
    for (int midi = GetParam().lowest; midi <= GetParam().highest; midi += 2) {
      notes.push_back({midi, Beats(1)});
      notes.push_back({0, Beats(1), true});
    }
    Timeline timeline = tune(notes, Beats(0), bpm);
    timeline.instrument = GetParam().instrument;
    return timeline;
  }
};

TEST_P(OnEveryInstrument, NotesBeginOnTheBeatAndSoundForTheirFraction) {
  const Timeline timeline = scale(80);
  const Performance heard = played(timeline);
  for (const NoteTime& note : heard.notes) {
    const int midi = timeline.notes[static_cast<std::size_t>(note.index)].midi;
    const double f = frequency(midi).value();
    const double start = note.start.value();
    const double length = note.end.value() - start;
    const double settled =
        ears::mean_level(heard.audio, start + 0.3 * length, start + 0.6 * length);
    const double onset =
        ears::rise_time(heard.audio, start + 0.3 * length, start - 0.1, settled, f);
    const double end =
        ears::fall_time(heard.audio, start + 0.5 * length, start + length + 0.1, settled, f);
    EXPECT_NEAR(onset, start, GetParam().onset_tolerance) << "MIDI " << midi;
    EXPECT_NEAR((end - onset) / length, SoundingFractions{}.separate, 0.05) << "MIDI " << midi;
  }
}

TEST_P(OnEveryInstrument, NotesAreInTuneToThreeCents) {
  const Timeline timeline = scale(72);
  const Performance heard = played(timeline);
  for (const NoteTime& note : heard.notes) {
    const int midi = timeline.notes[static_cast<std::size_t>(note.index)].midi;
    const double from = note.start.value() + 0.05;
    EXPECT_NEAR(ears::mean_cents(heard.audio, from, from + 0.6, midi), 0, 3) << "MIDI " << midi;
  }
}

TEST_P(OnEveryInstrument, NotesAreAllAsLoud) {
  const Timeline timeline = scale(80);
  const Performance heard = played(timeline);
  double loudest = 0;
  double softest = 1;
  for (const NoteTime& note : heard.notes) {
    const double level = ears::rms(heard.audio, note.start.value() + 0.1, note.start.value() + 0.5);
    loudest = std::max(loudest, level);
    softest = std::min(softest, level);
  }
  EXPECT_LT(ears::decibels(loudest / softest), 4);
}

// One and a half periods of the bass' lowest string are 36 ms: its onsets are heard less sharply.
INSTANTIATE_TEST_SUITE_P(Instruments, OnEveryInstrument,
                         testing::Values(Range{"cello", 36, 76, 0.005},
                                         Range{"violin", 55, 88, 0.005},
                                         Range{"viola", 48, 81, 0.005},
                                         Range{"bass", 28, 58, 0.007}),
                         [](const auto& one) { return std::string(one.param.instrument); });

TEST(Perform, IsSilentInRests) {
  const Timeline timeline = tune({{50, Beats(2)}, {0, Beats(2), true}, {50, Beats(1)}});
  const Performance heard = played(timeline);
  const double sounding = ears::rms(heard.audio, 0.5, 1.5);
  EXPECT_LT(ears::decibels(ears::rms(heard.audio, 2.05, 3.95) / sounding), -80);
}

TEST(Perform, SlursWithoutAGap) {
  const std::array<int, 8> melody{50, 52, 54, 55, 57, 55, 50, 62};
  std::vector<Written> notes;
  for (const int midi : melody) notes.push_back({midi, Beats(1)});
  Timeline timeline = tune(notes);
  for (TimelineNote& note : timeline.notes) note.slur_id = 1;
  const Performance heard = played(timeline);
  const double settled = ears::rms(heard.audio, 0.3, 7.5);
  for (double t = 0.2; t < 7.7; t += 0.005) {
    EXPECT_GT(ears::decibels(ears::rms(heard.audio, t - 0.015, t + 0.015) / settled), -6) << t;
  }
}

TEST(Perform, SeparatesRepeatedNotesEvenThoseThatAreHeld) {
  const Performance heard = played(tune({{50, Beats(1)}, {50, Beats(2)}, {50, Beats(2)}}));
  const double settled = ears::rms(heard.audio, 1.2, 2.5);
  EXPECT_LT(ears::decibels(ears::rms(heard.audio, 0.92, 0.97) / settled), -40);
  double lowest = 1;
  for (double t = 2.95; t < 3.02; t += 0.001) {
    lowest = std::min(lowest, ears::rms(heard.audio, t - 0.005, t + 0.005));
  }
  EXPECT_LT(ears::decibels(lowest / settled), -9);
}

TEST(Perform, ChangesThePitchInTheMiddleOfASlurOnTheBeat) {
  Timeline timeline = tune({{50, Beats(1)}, {57, Beats(1)}});
  for (TimelineNote& note : timeline.notes) note.slur_id = 1;
  const Performance heard = played(timeline);
  EXPECT_NEAR(ears::mean_cents(heard.audio, 0.3, 0.97, 50), 0, 3);
  EXPECT_NEAR(ears::mean_cents(heard.audio, 1.03, 1.8, 57), 0, 3);
}

TEST(Perform, KeepsThePitchAtAnyTempo) {
  for (const double bpm : {30.0, 60.0, 120.0}) {
    PerformOptions options;
    options.beats_per_minute = bpm;
    const Performance heard = played(tune({{55, Beats(2)}}), options);
    EXPECT_NEAR(heard.notes[0].end.value(), 2 * 60 / bpm, 1e-9);
    EXPECT_NEAR(ears::mean_cents(heard.audio, 0.05, 100 / bpm, 55), 0, 3) << bpm;
  }
}

// EBU R 128 measured by libavfilter, the outside measure.
TEST(Perform, IsAsLoudAsWanted) {
  for (const bool click : {false, true}) {
    PerformOptions options;
    options.click = click;
    options.drone = click;
    options.count_in_bars = click ? 1 : 0;
    const Performance heard = played(tune(quarters(43, 16)), options);
    const auto loudness = measure_loudness(heard.audio);
    ASSERT_TRUE(loudness);
    EXPECT_NEAR(loudness->integrated_lufs, -16, 1);
    EXPECT_LE(loudness->true_peak_dbtp, -1);
  }
}

TEST(Perform, HoldsThePeakOfALoudClickDown) {
  PerformOptions options;
  options.click = true;
  options.loudness_lufs = -8;
  const auto loudness = measure_loudness(played(tune(quarters(43, 8)), options).audio);
  EXPECT_LE(loudness->true_peak_dbtp, -1);
  EXPECT_GT(loudness->true_peak_dbtp, -1.6);
}

TEST(Perform, ClicksOnTheBeatAndAsLoudWithoutThePart) {
  PerformOptions options;
  options.click = true;
  options.count_in_bars = 1;
  options.part = false;
  const Performance heard = played(tune(quarters(50, 5), Beats(1)), options);
  EXPECT_NEAR(heard.count_in.value(), 7, 1e-9);
  ASSERT_GE(heard.clicks.size(), 12U);
  for (const ClickTime& click : heard.clicks) {
    const double at = click.at.value();
    EXPECT_LT(ears::rms(heard.audio, at - 0.02, at - 0.0005), 1e-4);
    EXPECT_GT(ears::rms(heard.audio, at, at + 0.005), 0.03);
  }
  EXPECT_TRUE(heard.clicks[0].accented);
  EXPECT_TRUE(heard.clicks[4].accented);
  EXPECT_FALSE(heard.clicks[7].accented);  // the pickup itself
  EXPECT_TRUE(heard.clicks[8].accented);
}

TEST(Perform, PlaysOnlyTheBarsThatAreAskedFor) {
  PerformOptions options;
  options.first_bar = "2";
  options.last_bar = "3";
  const Performance heard = played(tune(quarters(50, 16)), options);
  ASSERT_EQ(heard.notes.size(), 8U);
  EXPECT_EQ(heard.notes.front().index, 4);
  EXPECT_EQ(heard.notes.front().start.value(), 0);
  EXPECT_NEAR(heard.audio.duration().value(), 8.5, 0.01);
}

TEST(Perform, GivesTheSameSamplesEachTime) {
  PerformOptions options;
  options.click = true;
  options.drone = true;
  const Timeline timeline = tune(quarters(50, 6));
  EXPECT_EQ(played(timeline, options).audio, played(timeline, options).audio);
}

/// The largest difference of the fifth order: what lies above 12 kHz, where a broken wave would
/// show as a burst and a string holds little.
double roughest(const Audio& audio, double from, double to) {
  double largest = 0;
  const auto part = ears::between(audio, from, to);
  for (std::size_t i = 5; i < part.size(); ++i) {
    const float* s = &part[i];
    largest = std::max(
        largest, std::abs(s[0] - 5.0 * s[-1] + 10.0 * s[-2] - 10.0 * s[-3] + 5.0 * s[-4] - s[-5]));
  }
  return largest;
}

TEST(Perform, HasNoJumpsWhereNotesBeginAndEnd) {
  const Performance heard =
      played(tune({{50, Beats(1)}, {57, Beats(1, 4)}, {50, Beats(1, 4)}, {52, Beats(1, 2)}}));
  const double inside = roughest(heard.audio, 0.1, 0.7);
  for (const NoteTime& note : heard.notes) {
    const double start = note.start.value();
    const double end = start + 0.85 * (note.end.value() - start);
    EXPECT_LT(roughest(heard.audio, start - 0.02, start + 0.02), 1.5 * inside);
    EXPECT_LT(roughest(heard.audio, end - 0.03, end + 0.03), 1.5 * inside);
  }
}

TEST(Perform, PlucksWhereItIsWritten) {
  for (const int midi : {38, 50, 62, 74}) {
    Timeline timeline = tune({{0, Beats(1), true}, {midi, Beats(1)}, {0, Beats(1), true}});
    timeline.notes[0].plucked = true;
    const Audio heard = played(timeline).audio;
    EXPECT_LT(ears::rms(heard, 0.9, 0.998), 1e-5);
    const double early = ears::rms(heard, 1.0, 1.05);
    EXPECT_GT(ears::decibels(ears::rms(heard, 1.0, 1.01) / early), -9)
        << "speaks at once, " << midi;
    EXPECT_LT(ears::decibels(ears::rms(heard, 1.6, 1.7) / early), -8) << "dies away, " << midi;
    EXPECT_NEAR(ears::mean_cents(heard, 1.02, 1.4, midi), 0, 3) << midi;
  }
}

TEST(Perform, SaysWhatItCannotPlay) {
  const Timeline timeline = tune(quarters(50, 8));
  PerformOptions options;
  options.beats_per_minute = 1000;
  EXPECT_THAT(failure(timeline, options), HasSubstr("this tempo cannot be played"));
  options = {};
  options.first_bar = "9";
  EXPECT_THAT(failure(timeline, options), HasSubstr("bar 9: there is no such bar"));
  EXPECT_THAT(failure(tune({{127, Beats(1)}}), {}), HasSubstr("no sampled string sounds"));
}

TEST(Perform, SaysWhereTheSoundFontIsMissing) {
  const auto sounds = FluidSounds::open("cello", "/nowhere/strings.sf2");
  ASSERT_FALSE(sounds);
  EXPECT_EQ(sounds.error().kind, ErrorKind::machine);
  EXPECT_THAT(sounds.error().line(), HasSubstr("fluid-soundfont-gm"));
}

TEST(Perform, WritesTheTimesOfItsNotes) {
  PerformOptions options;
  options.count_in_bars = 1;
  const std::string json = times_to_json(played(tune(quarters(50, 1)), options));
  EXPECT_THAT(json, HasSubstr(R"("schema":"endpin.times/1")"));
  EXPECT_THAT(json, HasSubstr(R"({"index":0,"onset_s":4.0,"offset_s":5.0})"));
  EXPECT_THAT(json, HasSubstr(R"({"at_s":1.0,"strong":false,"count_in":true})"));
  EXPECT_THAT(json, HasSubstr(R"("bars":[{"bar":"1","pass":1,"start_s":4.0}])"));
}

}  // namespace
}  // namespace endpin
