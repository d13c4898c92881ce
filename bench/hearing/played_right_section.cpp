#include <fmt/format.h>

#include "evaluation.h"
#include "played_right.h"

namespace endpin::evaluation {
namespace {

using namespace simulator;

const std::pair<const char*, Player> players[] = {{"professional", professional()},
                                                  {"good student", good_student()},
                                                  {"uncertain beginner", beginner()}};

RightTally simulated(const char* who, const Player& player, Condition condition, int takes,
                     const Settings& settings, const Studio& studio, Report& report) {
  RightTally tally;
  for (int i = 0; i < takes; ++i) {
    static const char* instruments[] = {"cello", "violin", "bass", "viola", "cello"};
    TakeOptions options;
    options.instrument = instruments[i % 5];
    options.player = player;
    options.condition = condition;
    options.recorded = i % 2 == 0;
    const auto take = studio.take(options, settings.seed * 1000 + 500 + static_cast<unsigned>(i));
    const auto heard = hear_take(take.timeline, take.audio);
    count_right(fmt::format("{} {} {}", who, take.name, name(condition)), take.timeline,
                truth_by_index(take.performance), heard.hearing, DrawnOver::takes, tally, report);
  }
  return tally;
}

void recorded(Condition condition, const Settings& settings, Report& report) {
  for (const char* folder : {"violin-partita", "violin-double-b-minor"}) {
    const auto recording = read_recording(settings.recordings / folder);
    if (!recording) continue;
    const auto audio = condition == Condition::clean
                           ? recording->audio
                           : through(recording->audio, condition, settings.seed);
    const auto heard = hear_take(recording->timeline, audio);
    const auto on = fmt::format("played right: {}, {}", folder, name(condition));
    RightTally tally;
    count_right(on, recording->timeline, recording->truth, heard.hearing, DrawnOver::notes, tally,
                report);
    add_right_figures(on, tally, settings, report, true);
  }
}

}  // namespace

Report played_right_section(const Settings& settings, const Studio& studio) {
  Report report;
  for (const auto& [who, player] : players) {
    for (const auto condition :
         {Condition::clean, Condition::hall, Condition::hall_10, Condition::phone_10}) {
      const auto tally =
          simulated(who, player, condition, settings.count(5, 40), settings, studio, report);
      add_right_figures(fmt::format("played right: {}, {}", who, name(condition)), tally, settings,
                        report);
    }
  }
  if (settings.recordings.empty()) return report;
  for (const auto condition : {Condition::clean, Condition::hall, Condition::hall_10}) {
    recorded(condition, settings, report);
  }
  return report;
}

/// Right playing through bad microphones.
Report microphones_section(const Settings& settings, const Studio& studio) {
  Report report;
  for (const auto condition : bad_microphones) {
    RightTally all;
    for (const auto& [who, player] : players) {
      const auto tally =
          simulated(who, player, condition, settings.takes.value_or(settings.count(4, 30)),
                    settings, studio, report);
      all += tally;
    }
    add_right_figures(fmt::format("bad microphone: simulated, {}", name(condition)), all, settings,
                      report, true);
    if (!settings.recordings.empty()) recorded(condition, settings, report);
  }
  return report;
}

}  // namespace endpin::evaluation
