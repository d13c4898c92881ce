#include <fmt/format.h>

#include "endpin/simulator/channel.h"

#include "evaluation.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

struct Tally {
  std::vector<Share> accused;
  std::vector<Share> falsely;  ///< takes with a finding to work on
};

void describe(const std::string& take, const Timeline& timeline, const Hearing& hearing,
              Report& report) {
  for (const auto& finding : hearing.findings) {
    if (tone(finding.kind) != Tone::work) continue;
    std::string notes;
    if (!finding.notes.empty()) {
      notes =
          notes_in_words(timeline, hearing, finding.notes.front() - 1, finding.notes.front() + 1);
    }
    report.failures.push_back(
        fmt::format("PLAYED RIGHT {}: {} |{}", take, in_words(finding), notes));
  }
  for (const auto& n : hearing.notes) {
    if (n.state != NoteState::wrong && n.state != NoteState::missed) continue;
    report.failures.push_back(
        fmt::format("PLAYED RIGHT {}: note {} called {} |{}", take, n.index, endpin::name(n.state),
                    notes_in_words(timeline, hearing, n.index - 1, n.index + 1)));
  }
}

double work_findings(const Hearing& hearing) {
  double count = 0;
  for (const auto& f : hearing.findings) count += tone(f.kind) == Tone::work ? 1 : 0;
  return count;
}

void figures(const std::string& on, const Tally& tally, const Settings& settings, Report& report) {
  auto accused =
      share_figure(on, "notes called wrong or missed", tally.accused, "notes", settings.seed);
  accused.at_most = 0.003;
  report.add(accused);
  auto falsely =
      share_figure(on, "takes with a false finding", tally.falsely, "takes", settings.seed);
  falsely.at_most = 0.1;
  report.add(falsely);
}

void simulated(const Settings& settings, const Studio& studio, Report& report) {
  const std::pair<const char*, Player> players[] = {{"professional", professional()},
                                                    {"good student", good_student()},
                                                    {"uncertain beginner", beginner()}};
  const int takes = settings.count(5, 40);
  for (const auto& [who, player] : players) {
    for (const auto condition :
         {Condition::clean, Condition::hall, Condition::hall_10, Condition::phone_10}) {
      Tally tally;
      for (int i = 0; i < takes; ++i) {
        static const char* instruments[] = {"cello", "violin", "bass", "viola", "cello"};
        TakeOptions options;
        options.instrument = instruments[i % 5];
        options.player = player;
        options.condition = condition;
        options.recorded = i % 2 == 0;
        const auto take =
            studio.take(options, settings.seed * 1000 + 500 + static_cast<unsigned>(i));
        const auto heard = hear_take(take.timeline, take.audio);
        tally.accused.push_back(accused(take.timeline, take.performance, heard.hearing));
        tally.falsely.push_back({work_findings(heard.hearing) > 0 ? 1.0 : 0.0, 1.0});
        describe(fmt::format("{} {} {}", who, take.name, name(condition)), take.timeline,
                 heard.hearing, report);
      }
      figures(fmt::format("played right: {}, {}", who, name(condition)), tally, settings, report);
    }
  }
}

void recorded(const Settings& settings, Report& report) {
  for (const char* folder : {"violin-partita", "violin-double-b-minor"}) {
    const auto recording = read_recording(settings.recordings / folder);
    if (!recording) continue;
    for (const auto condition : {Condition::clean, Condition::hall, Condition::hall_10}) {
      const auto audio = condition == Condition::clean
                             ? recording->audio
                             : through(recording->audio, condition, settings.seed);
      const auto heard = hear_take(recording->timeline, audio);
      Tally tally;
      for (const auto& row : recording->truth) {
        bool right = false;
        for (const int i : row.indices) {
          const auto state = heard.hearing.notes[static_cast<std::size_t>(i)].state;
          right = right || (state != NoteState::wrong && state != NoteState::missed);
        }
        tally.accused.push_back({right ? 0.0 : 1.0, 1.0});
      }
      tally.falsely.push_back({work_findings(heard.hearing), 1.0});
      const auto on = fmt::format("played right: {}, {}", folder, name(condition));
      auto accused =
          share_figure(on, "notes called wrong or missed", tally.accused, "notes", settings.seed);
      accused.at_most = 0.003;
      report.add(accused);
      report.add(
          {on, "findings to work on", tally.falsely.front().hits, "", std::nullopt, 1, "take"});
      describe(fmt::format("{} {}", folder, name(condition)), recording->timeline, heard.hearing,
               report);
    }
  }
}

}  // namespace

Report played_right_section(const Settings& settings, const Studio& studio) {
  Report report;
  simulated(settings, studio, report);
  if (!settings.recordings.empty()) recorded(settings, report);
  return report;
}

}  // namespace endpin::evaluation
