#include <algorithm>

#include <fmt/format.h>

#include "endpin/simulator/random.h"

#include "etude.h"
#include "evaluation.h"
#include "played_right.h"

namespace endpin::evaluation {
namespace {

using namespace simulator;

constexpr double minutes = 3;

Take etude_take(EtudeKind kind, Condition condition, int i, std::uint64_t seed,
                const Studio& studio) {
  TakeOptions options;
  options.instrument = i % 2 == 0 ? "violin" : "cello";
  options.player = kind == EtudeKind::singing ? singer()
                   : i % 3 == 0               ? professional()
                                              : good_student();
  options.condition = condition;
  options.recorded = i % 2 == 1;
  Random random(seed);
  const bool slowly =
      kind == EtudeKind::stopping || kind == EtudeKind::singing || kind == EtudeKind::voices;
  const double bpm = random.uniform(100, 132) * (slowly ? 0.6 : 1);
  const int bars = static_cast<int>(minutes * bpm / 4);
  const auto timeline = etude(kind, options.instrument, bars, bpm, seed);
  auto take = studio.play(timeline, plan_of(kind, timeline, seed), options, seed);
  take.name = fmt::format("{}, {}", name(kind), take.name);
  return take;
}

// A chord that is broken begins anywhere between its first and its last note.
std::vector<measures::TrueNote> within_chords(std::vector<measures::TrueNote> truth,
                                              const Timeline& timeline, const Hearing& hearing) {
  const auto written = [&](const measures::TrueNote& row) {
    return timeline.notes[static_cast<std::size_t>(row.indices.front())].onset;
  };
  for (auto from = truth.begin(); from != truth.end();) {
    auto to = from;
    Seconds first = from->onset, last = from->onset;
    for (; to != truth.end() && written(*to) == written(*from); ++to) {
      first = std::min(first, to->onset), last = std::max(last, to->onset);
    }
    for (; from != to; ++from) {
      const auto& heard = hearing.notes[static_cast<std::size_t>(from->indices.front())].heard;
      if (heard) from->onset = std::clamp(heard->onset, first, last);
    }
  }
  return truth;
}

}  // namespace

/// Etudes of three minutes played right: no rest in which to find one's place again.
Report etudes_section(const Settings& settings, const Studio& studio) {
  Report report;
  for (const auto kind : {EtudeKind::running, EtudeKind::crossing, EtudeKind::stopping,
                          EtudeKind::trilling, EtudeKind::singing, EtudeKind::voices}) {
    if (!settings.try_named(name(kind))) continue;
    for (const auto condition : {Condition::room, Condition::hall, Condition::phone_10}) {
      RightTally tally;
      const auto on = fmt::format("etude: {}, {}", name(kind), name(condition));
      for (int i = 0; i < settings.takes.value_or(settings.count(2, 10)); ++i) {
        const auto take = etude_take(kind, condition, i,
                                     settings.seed * 1000 + 300 + static_cast<unsigned>(i), studio);
        const auto heard = hear_take(take.timeline, take.audio);
        count_right(fmt::format("{}, {}", on, take.name), take.timeline,
                    within_chords(truth_by_index(take.performance), take.timeline, heard.hearing),
                    heard.hearing, DrawnOver::takes, tally, report);
        append_rows(settings.rows, take, heard.hearing);
      }
      add_right_figures(on, tally, settings, report, true);
    }
  }
  return report;
}

}  // namespace endpin::evaluation
