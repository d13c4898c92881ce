#include <cmath>

#include <fmt/format.h>

#include "endpin/simulator/channel.h"

#include "ensemble.h"
#include "evaluation.h"
#include "played_right.h"

namespace endpin::evaluation {
namespace {

using namespace simulator;

// The room that all play in, and how long it rings.
constexpr Seconds room_s(0.5);

// What each of three players lies below the student; as loud together: a third of the power each.
const double decibels_of_three = 10 * std::log10(3.0);
const std::pair<const char*, double> levels[] = {
    {"each at −10 dB", 10}, {"each at −6 dB", 6}, {"together as loud", decibels_of_three}};

}  // namespace

/// Right playing in an ensemble whose other three players are heard as well: both recordings, and
/// simulated violins and cellos.
Report ensemble_section(const Settings& settings, const Studio& studio) {
  Report report;
  const int first_voice = settings.fitting ? 20 : 120;
  for (const auto& [words, each] : levels) {
    const Decibels together(each - decibels_of_three);
    for (const char* folder : {"violin-partita", "violin-double-b-minor"}) {
      if (settings.recordings.empty() || settings.fitting) continue;
      const auto recording = read_recording(settings.recordings / folder);
      if (!recording) continue;
      RightTally tally;
      const auto on = fmt::format("ensemble: {}, {}", folder, words);
      for (int i = 0; i < settings.count(1, 4); ++i) {
        const auto seed = settings.seed * 1000 + static_cast<unsigned>(i);
        auto others =
            companions(recording->timeline, placed(recording->truth), recording->audio.duration(),
                       recording->audio.rate, first_voice, seed);
        add_room(others, room_s, seed);
        const auto audio = among(recording->audio, std::move(others), together);
        count_right(on, recording->timeline, recording->truth,
                    hear_take(recording->timeline, audio).hearing, DrawnOver::notes, tally, report);
      }
      add_right_figures(on, tally, settings, report, true);
    }
    RightTally tally;
    const auto on = fmt::format("ensemble: simulated, {}", words);
    for (int i = 0; i < settings.takes.value_or(settings.count(6, 40)); ++i) {
      static const char* instruments[] = {"violin", "violin", "cello"};
      TakeOptions options;
      options.instrument = instruments[i % 3];
      options.player = i % 2 == 0 ? professional() : good_student();
      options.bars = 12;
      options.recorded = i % 2 == 0;
      const auto seed = settings.seed * 1000 + 700 + static_cast<unsigned>(i);
      const auto take = studio.take(options, seed);
      const auto truth = truth_by_index(take.performance);
      auto audio = among(take.audio,
                         companions(take.timeline, placed(truth), take.audio.duration(),
                                    take.audio.rate, first_voice, seed),
                         together);
      add_room(audio, room_s, seed);
      count_right(fmt::format("{}, {}", on, take.name), take.timeline, truth,
                  hear_take(take.timeline, audio).hearing, DrawnOver::takes, tally, report);
    }
    add_right_figures(on, tally, settings, report, true);
  }
  return report;
}

}  // namespace endpin::evaluation
