#include <algorithm>
#include <filesystem>
#include <map>
#include <string>

#include <gtest/gtest.h>
#include <unistd.h>

#include "endpin/app/files.h"
#include "endpin/instrument/instrument.h"
#include "endpin/lesson_folder/lesson_folder.h"
#include "endpin/media/decode.h"
#include "endpin/media/loudness.h"
#include "endpin/perform/performed_note.h"

#include "ears.h"
#include "sounds.h"

// The files of a lesson as somebody hears them: decoded again and measured by other means than
// those that made them.
namespace endpin::app {
namespace {

struct Piece {
  const char* file;
  const char* instrument;
  double onset_tolerance;  ///< seconds; a bass' lowest period is 24 ms
};
void PrintTo(const Piece& piece, std::ostream* out) {
  *out << piece.file << " on " << piece.instrument;
}

Audio decoded(const std::string& bytes) {
  const std::string path = testing::TempDir() + "endpin-heard-" + std::to_string(::getpid());
  EXPECT_TRUE(write_file_atomically(path, bytes));
  auto audio = decode(path);
  std::filesystem::remove(path);
  EXPECT_TRUE(audio) << audio.error().line();
  return std::move(audio).value();
}

/// A timeline at one tempo, after one bar of count-in and what a pickup leaves open.
struct Clock {
  double seconds_per_quarter = 1;
  double count_in = 0;

  Clock(const Timeline& timeline, double beats_per_minute, Beats beat_unit) {
    seconds_per_quarter = 60 / (beats_per_minute * beat_unit.to_double());
    const TimelineBar& first = timeline.bars.front();
    const Beats full(4 * first.beats, first.beat_type);
    const Beats open = first.length < full ? full - first.length : Beats(0);
    count_in = (full + open).to_double() * seconds_per_quarter;
  }
  double at(Beats quarters) const { return count_in + quarters.to_double() * seconds_per_quarter; }
};

bool plain(const TimelineNote& note) {
  return !note.slur_id && note.articulation == Articulation::none && note.duration < Beats(2);
}

struct Heard {
  const Timeline& timeline;
  const Audio& audio;
  Clock clock;
  double tolerance;
  std::string name;

  // A separate stroke after a separate stroke, or after a rest: it has a beginning of its own.
  bool begins_alone(std::size_t i) const {
    if (i == 0) return true;
    const TimelineNote& before = timeline.notes[i - 1];
    return plain(before) || before.onset + before.duration < timeline.notes[i].onset;
  }

  int check_note(std::size_t i) const {
    const TimelineNote& note = timeline.notes[i];
    const double start = clock.at(note.onset);
    const double length = note.duration.to_double() * clock.seconds_per_quarter;
    const std::string which = name + ", note " + std::to_string(i);
    if (length > 0.2) {
      EXPECT_NEAR(ears::mean_cents(audio, start + 0.05, start + 0.8 * length, note.midi), 0, 3)
          << which;
    }
    if (!plain(note) || !begins_alone(i) || length < 0.25) return 0;
    const double f = frequency(note.midi).value();
    const double settled = ears::mean_level(audio, start + 0.3 * length, start + 0.6 * length);
    const double onset = ears::rise_time(audio, start + 0.3 * length, start - 0.1, settled, f);
    EXPECT_NEAR(onset, start, tolerance) << which;
    const bool alone_after = i + 1 < timeline.notes.size() && begins_alone(i + 1);
    if (!alone_after) return 1;
    const double end =
        ears::fall_time(audio, start + 0.5 * length, start + length + 0.1, settled, f);
    // Hooked with the next note, or separate: the handbook's fractions.
    const auto& next = timeline.notes[i + 1];
    const bool hooked = note.stroke_id && next.stroke_id == note.stroke_id &&
                        next.onset == note.onset + note.duration;
    const SoundingFractions all;
    EXPECT_NEAR((end - onset) / length, hooked ? all.hooked : all.separate, 0.05) << which;
    return 1;
  }

  int check_rests() const {
    int rests = 0;
    for (std::size_t i = 0; i + 1 < timeline.notes.size(); ++i) {
      const TimelineNote& note = timeline.notes[i];
      const double from = clock.at(note.onset + note.duration) + 0.06;
      const double to = clock.at(timeline.notes[i + 1].onset) - 0.06;
      if (to - from < 0.1) continue;
      const double start = clock.at(note.onset);
      const double inside = ears::rms(audio, start + 0.05, start + 0.15);
      EXPECT_LT(ears::decibels(ears::rms(audio, from, to) / inside), -55)
          << name << ", after " << i;
      ++rests;
    }
    return rests;
  }
};

class HeardLesson : public testing::TestWithParam<Piece> {
 protected:
  void SetUp() override {
    LessonOrder order;
    const std::string path = ENDPIN_SOURCE_DIR "/demo/pieces/" + std::string(GetParam().file);
    auto input = read_score_input(path, {{}, {}, GetParam().instrument}).value();
    order.input =
        for_instrument(std::move(input), *find_instrument(GetParam().instrument), "first-position")
            .value();
    order.date = "2026-03-01";
    plan_ = plan_lesson(order).value();
    const std::vector<SoundFile> played = play_all(order, plan_).value();
    files_ = {played.begin(), played.end()};
  }

  Heard heard(const std::string& key, const Timeline& timeline, double per_minute, Beats unit,
              const Audio& audio) const {
    return {timeline, audio, Clock(timeline, per_minute, unit), GetParam().onset_tolerance, key};
  }

  LessonPlan plan_;
  std::map<std::string, std::string> files_;
};

TEST_P(HeardLesson, SoundsWhenItShouldAndAsItShould) {
  const Audio piece = decoded(files_.at(sound_names("piece").part));
  const Heard whole =
      heard("piece", plan_.timeline, plan_.lesson.goal_per_minute, plan_.timeline.beat_unit, piece);
  int onsets = 0;
  int rests = whole.check_rests();
  for (std::size_t i = 0; i < plan_.timeline.notes.size(); ++i) onsets += whole.check_note(i);
  for (const LessonItem* item : plan_.lesson.chosen()) {
    const Exercise* exercise = plan_.lesson.find_exercise(item->key);
    if (exercise == nullptr) continue;
    const Audio audio = decoded(files_.at(sound_names(item->key).part));
    const Heard one = heard(item->key, exercise->timeline, plan_.lesson.drill_per_minute,
                            plan_.lesson.ladder.beat_unit, audio);
    for (std::size_t i = 0; i < exercise->timeline.notes.size(); ++i) onsets += one.check_note(i);
    rests += one.check_rests();
  }
  EXPECT_GT(onsets, 10);
  RecordProperty("onsets", onsets);
  RecordProperty("rests", rests);

  // All at one level: EBU R 128, measured by libavfilter's ebur128.
  std::size_t wanted = 4;
  for (const LessonItem* item : plan_.lesson.chosen()) {
    if (plan_.lesson.find_exercise(item->key) != nullptr) wanted += 4;
  }
  EXPECT_EQ(files_.size(), wanted);
  for (const auto& [name, bytes] : files_) {
    const auto loudness = measure_loudness(decoded(bytes));
    ASSERT_TRUE(loudness) << name;
    EXPECT_NEAR(loudness->integrated_lufs, -16, 1) << name;
    EXPECT_LE(loudness->true_peak_dbtp, -1) << name;
  }
}

INSTANTIATE_TEST_SUITE_P(Pieces, HeardLesson,
                         testing::Values(Piece{"ode-to-joy.musicxml", "cello", 0.005},
                                         Piece{"greensleeves.musicxml", "viola", 0.005},
                                         Piece{"new-britain.musicxml", "violin", 0.005},
                                         Piece{"ode-to-joy.musicxml", "bass", 0.007}),
                         [](const auto& one) {
                           std::string name = one.param.file;
                           name = name.substr(0, name.find('.')) + one.param.instrument;
                           std::erase(name, '-');
                           return name;
                         });

}  // namespace
}  // namespace endpin::app
