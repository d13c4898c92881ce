#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "altered_cases.h"

namespace endpin::evaluation {
namespace {

using namespace measures;

constexpr double undisturbed_s = 0.05;  // an onset that moved more was disturbed

struct Tally {
  std::vector<Share> found;
  std::vector<Share> undisturbed;
  std::vector<Share> falsely;
};

bool has(const std::vector<int>& notes, int n) {
  return std::find(notes.begin(), notes.end(), n) != notes.end();
}

bool touches(const std::vector<int>& notes, const Finding& f) {
  return std::any_of(f.notes.begin(), f.notes.end(), [&](int n) { return has(notes, n); });
}

bool right_kind(const AlteredCase& c, const Finding& f) {
  if (std::find(c.kinds.begin(), c.kinds.end(), f.kind) == c.kinds.end()) return false;
  if (f.notes.empty() || c.notes.empty()) {
    return f.from.value() <= c.to_s + 0.3 && c.from_s <= f.to.value() + 0.3;
  }
  return touches(c.notes, f);
}

bool near(const AlteredCase& c, const Finding& f) {
  return touches(c.elsewhere, f) ||
         (f.from.value() <= c.to_s + 0.6 && c.from_s <= f.to.value() + 0.6);
}

bool restart_found(const AlteredCase& c, const Hearing& hearing) {
  return std::any_of(hearing.restarts.begin(), hearing.restarts.end(), [&](const Restart& r) {
    return r.to_index == c.restart->first && std::abs(r.time.value() - c.restart->second) < 0.3;
  });
}

/// Of the notes that the alteration leaves alone: still heard, within 50 ms of before.
Share undisturbed(const Base& base, const AlteredCase& c, const Hearing& hearing,
                  std::string& moved) {
  Share share;
  for (std::size_t i = 0; i < c.score.original.size(); ++i) {
    const int before = c.score.original[i];
    const int place = static_cast<int>(i);
    const bool altered = has(c.notes, place) || has(c.elsewhere, place);
    if (before < 0 || altered) continue;
    const auto& old = base.hearing.notes[static_cast<std::size_t>(before)];
    if (!old.heard || old.state != NoteState::heard) continue;
    double expected = old.heard->onset.value();
    if (expected >= c.cut_from_s) expected += c.cut_by_s;
    if (expected < 0.05 || expected > c.audio.duration().value() - 0.2) continue;
    share.cases += 1;
    const auto& now = hearing.notes[i];
    const bool same = now.heard && now.state == NoteState::heard &&
                      std::abs(now.heard->onset.value() - expected) <= undisturbed_s;
    share.hits += same ? 1 : 0;
    if (!same && moved.size() < 300) {
      moved += notes_in_words(c.score.timeline, hearing, place, place) +
               fmt::format("[was {:.2f}]", expected);
    }
  }
  return share;
}

/// How two notes share their time: truly, as heard with their own score, as heard with the altered.
std::string shares_in_words(const Base& base, const AlteredCase& c, const Hearing& hearing) {
  const auto first = static_cast<std::size_t>(c.notes.front());
  const auto heard = [&](const Hearing& h) {
    const auto at = [&](std::size_t i) {
      return h.notes[i].heard ? h.notes[i].heard->onset.value() : std::nan("");
    };
    return (at(first + 1) - at(first)) / (at(first + 2) - at(first));
  };
  const auto at = [&](std::size_t i) { return base.truth.at(static_cast<int>(i)).first; };
  return fmt::format(" shared truly {:.2f} of {:.3f} s, heard {:.2f}, altered {:.2f}",
                     (at(first + 1) - at(first)) / (at(first + 2) - at(first)),
                     at(first + 2) - at(first), heard(base.hearing), heard(hearing));
}

void judge(const Base& base, const AlteredCase& c, std::map<std::string, Tally>& tallies,
           Report& report) {
  const auto hearing = hear_take(c.score.timeline, c.audio).hearing;
  auto& tally = tallies[c.name];
  bool found = c.kinds.empty();
  double falsely = 0;
  std::string wrong;
  for (const auto& f : hearing.findings) {
    if (tone(f.kind) != Tone::work) continue;
    if (right_kind(c, f)) {
      found = true;
    } else if (!near(c, f)) {
      falsely += 1;
      wrong += " FALSE " + in_words(f);
    } else {
      wrong += " (near: " + in_words(f) + ")";
    }
  }
  if (c.restart) found = restart_found(c, hearing);
  std::string moved;
  const auto rest = undisturbed(base, c, hearing, moved);
  if (!c.kinds.empty() || c.restart) tally.found.push_back({found ? 1.0 : 0.0, 1.0});
  tally.undisturbed.push_back(rest);
  tally.falsely.push_back({falsely > 0 ? 1.0 : 0.0, 1.0});
  if (found && rest.hits == rest.cases && falsely == 0) return;
  const int first = c.notes.empty() ? 0 : c.notes.front();
  if (c.name == "rhythm changed") wrong += shares_in_words(base, c, hearing);
  report.failures.push_back(fmt::format(
      "{} {} at [{}] {:.2f} s: {}{} | {} | moved {:.0f} of {:.0f}:{}", base.recording.name, c.name,
      fmt::join(c.notes, " "), c.from_s, found ? "found" : "NOT FOUND", wrong,
      notes_in_words(c.score.timeline, hearing, first - 1, first + 2), rest.cases - rest.hits,
      rest.cases, moved));
}

using Tallies = std::map<std::string, Tally>;

void judge_all(const Recording& recording, std::uint64_t seed, int each, const Settings& settings,
               Tallies& tallies, Report& report) {
  const auto base = base_of(recording);
  for (const auto& c : altered_cases(base, seed, each)) {
    if (settings.try_exactly(c.name)) judge(base, c, tallies, report);
  }
}

void add_figures(const std::string& on, const Tallies& tallies, const Settings& settings,
                 Report& report) {
  std::vector<Share> undisturbed;
  std::vector<Share> falsely;
  for (const auto& [name, tally] : tallies) {
    if (!tally.found.empty()) {
      auto found = share_figure(on, name + ": found", tally.found, "cases", settings.seed);
      found.at_least = name == "pitch changed" ? 0.90 : 0.95;
      report.add(found);
    }
    report.add(
        share_figure(on, name + ": rest undisturbed", tally.undisturbed, "notes", settings.seed));
    undisturbed.insert(undisturbed.end(), tally.undisturbed.begin(), tally.undisturbed.end());
    falsely.insert(falsely.end(), tally.falsely.begin(), tally.falsely.end());
  }
  auto rest = share_figure(on + ", all", "rest undisturbed", undisturbed, "notes", settings.seed);
  rest.at_least = 0.995;
  report.add(rest);
  report.add(share_figure(on + ", all", "cases with a false finding elsewhere", falsely, "cases",
                          settings.seed));
}

/// The first `seconds` of a recording: what a long one's notes cost less to try.
Recording beginning_of(Recording recording, double seconds) {
  recording.audio.samples.resize(static_cast<std::size_t>(seconds * recording.audio.rate));
  std::erase_if(recording.truth, [&](const auto& t) { return t.offset.value() > seconds - 0.5; });
  return recording;
}

}  // namespace

Report altered_section(const Settings& settings) {
  Report report;
  Tallies tallies;
  for (const auto& [folder, each, seconds] :
       {std::tuple{"violin-partita", settings.takes.value_or(settings.count(6, 40)), 1e9},
        std::tuple{"violin-double-b-minor", settings.takes.value_or(settings.count(3, 20)),
                   30.0}}) {
    auto recording = read_recording(settings.recordings / folder);
    if (!recording) {
      report.failures.push_back(recording.error().line());
      continue;
    }
    if (seconds < 1e8) *recording = beginning_of(std::move(recording).value(), seconds);
    judge_all(*recording, settings.seed, each, settings, tallies, report);
  }
  add_figures("altered scores and cuts, real sound", tallies, settings, report);
  return report;
}

Report altered_simulated_section(const Settings& settings, const Studio& studio) {
  constexpr int cases_a_take = 4;
  static const simulator::Player players[] = {simulator::professional(), simulator::good_student(),
                                              simulator::beginner()};
  static const char* instruments[] = {"violin", "cello", "viola"};
  Report report;
  for (const auto condition : {Condition::clean, Condition::room, Condition::phone_20}) {
    Tallies tallies;
    const int takes = settings.takes.value_or(settings.count(3, 30));
    for (int i = 0; i < takes; ++i) {
      TakeOptions options;
      options.instrument = instruments[i % 3];
      options.player = players[(i / 3 + i) % 3];
      options.condition = condition;
      options.bars = 12;
      options.recorded = i % 2 == 0;
      const auto seed = settings.seed * 1000 + 700 + static_cast<std::uint64_t>(i);
      auto take = studio.take(options, seed);
      const Recording recording{take.name, std::move(take.timeline), std::move(take.audio),
                                truth_by_index(take.performance)};
      judge_all(recording, seed, cases_a_take, settings, tallies, report);
    }
    add_figures(fmt::format("altered scores and cuts, simulated, {}", name(condition)), tallies,
                settings, report);
  }
  return report;
}

}  // namespace endpin::evaluation
