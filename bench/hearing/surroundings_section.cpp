#include <fmt/format.h>

#include "evaluation.h"
#include "played_right.h"
#include "surroundings.h"

namespace endpin::evaluation {
namespace {

using namespace simulator;

std::vector<PlacedNote> placed(const std::vector<measures::TrueNote>& truth) {
  std::vector<PlacedNote> notes;
  for (const auto& row : truth) notes.push_back({row.indices.front(), row.onset});
  return notes;
}

void simulated(const Surrounding& around, const Settings& settings, const Studio& studio,
               Report& report) {
  RightTally tally;
  const auto on = fmt::format("surroundings: simulated, {}", around.name);
  for (int i = 0; i < settings.takes.value_or(settings.count(6, 40)); ++i) {
    static const char* instruments[] = {"violin", "cello", "violin", "cello", "viola", "violin"};
    TakeOptions options;
    options.instrument = instruments[i % 6];
    options.player = i % 3 == 0 ? professional() : i % 3 == 1 ? good_student() : beginner();
    options.bars = 12;
    options.recorded = i % 2 == 0;
    const auto seed = settings.seed * 1000 + 900 + static_cast<unsigned>(i);
    const auto take = studio.take(options, seed);
    const auto truth = truth_by_index(take.performance);
    const Scene scene{take.timeline, placed(truth), settings.cache, settings.fitting ? 20 : 120,
                      seed};
    count_right(fmt::format("{}, {}", on, take.name), take.timeline, truth,
                hear_take(take.timeline, around.put(take.audio, scene)).hearing, DrawnOver::takes,
                tally, report);
  }
  add_right_figures(on, tally, settings, report, true);
}

void recorded(const Surrounding& around, const Recording& recording, const Settings& settings,
              Report& report) {
  RightTally tally;
  const auto on = fmt::format("surroundings: {}, {}", recording.name, around.name);
  const Scene scene{recording.timeline, placed(recording.truth), settings.cache, 120,
                    settings.seed};
  count_right(on, recording.timeline, recording.truth,
              hear_take(recording.timeline, around.put(recording.audio, scene)).hearing,
              DrawnOver::notes, tally, report);
  add_right_figures(on, tally, settings, report, true);
}

}  // namespace

/// Right playing in files as they come: what other people, devices and codecs put into them.
Report surroundings_section(const Settings& settings, const Studio& studio) {
  Report report;
  std::vector<Recording> recordings;
  for (const char* folder : {"violin-partita", "violin-double-b-minor"}) {
    if (settings.recordings.empty() || settings.fitting) continue;
    auto recording = read_recording(settings.recordings / folder);
    if (recording) recordings.push_back(std::move(*recording));
  }
  for (const Surrounding& around : surroundings()) {
    if (!settings.try_named(around.name)) continue;
    simulated(around, settings, studio, report);
    for (const Recording& r : recordings) recorded(around, r, settings, report);
  }
  return report;
}

}  // namespace endpin::evaluation
