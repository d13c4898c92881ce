#include <cmath>

#include <fmt/format.h>

#include "evaluation.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

bool octave_off(double difference) {
  const double octaves = difference / 12;
  return std::abs(octaves) > 0.9 && std::abs(octaves - std::round(octaves)) < 0.06;
}

}  // namespace

/// Cello C2-G2 and bass E1-A1: a note called wrong whose pitch lies octaves off, or measured there.
Report low_notes_section(const Settings& settings, const Studio& studio) {
  Report report;
  const std::tuple<const char*, int, int> ranges[] = {{"cello", 36, 43}, {"bass", 28, 33}};
  for (const auto& [instrument, lowest, highest] : ranges) {
    std::vector<Share> shares;
    std::vector<Share> found;
    for (int i = 0; i < settings.count(8, 60); ++i) {
      TakeOptions options;
      options.instrument = instrument;
      options.player = good_student();
      options.lowest_midi = lowest;
      options.highest_midi = highest + 5;
      options.recorded = i % 2 == 0;
      options.condition = i % 4 < 2 ? Condition::clean : Condition::phone_20;
      const auto take = studio.take(options, settings.seed * 1000 + 700 + static_cast<unsigned>(i));
      const auto heard = hear_take(take.timeline, take.audio);
      Share octaves;
      Share right;
      for (const auto& note : heard.hearing.notes) {
        if (note.midi > highest) continue;
        octaves.cases += note.heard ? 1 : 0;
        right.cases += 1;
        right.hits += note.state == NoteState::heard ? 1 : 0;
        if (note.heard && octave_off(note.heard->midi - note.midi)) {
          octaves.hits += 1;
          report.failures.push_back(
              fmt::format("OCTAVE {} |{}", take.name,
                          notes_in_words(take.timeline, heard.hearing, note.index, note.index)));
        }
      }
      shares.push_back(octaves);
      found.push_back(right);
    }
    const auto on = fmt::format("low notes, {}", instrument);
    auto figure = share_figure(on, "octave errors", shares, "notes", settings.seed);
    figure.at_most = 0;
    report.add(figure);
    report.add(share_figure(on, "heard", found, "notes", settings.seed));
  }
  return report;
}

}  // namespace endpin::evaluation
