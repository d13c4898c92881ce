#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>

#include "endpin/simulator/alter.h"

#include "evaluation.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

constexpr double undisturbed_s = 0.05;  // an onset that moved more was disturbed

/// A recording, what is heard of it with its own score, and when each note truly begins.
struct Base {
  const Recording& recording;
  Hearing hearing;
  std::map<int, std::pair<double, double>> truth;  // index -> onset, offset
  std::set<int> alone;                             // no chord, both neighbours with a truth
};

struct Case {
  std::string name;
  Altered score;
  Audio audio;
  std::vector<FindingKind> kinds;  ///< any of them is right
  std::vector<int> notes;          ///< of the altered score
  double from_s = 0;               ///< in the audio
  double to_s = 0;
  std::optional<std::pair<int, double>> restart;  ///< destination and time
  double cut_from_s = 1e9;  ///< sound after it lies `cut_by_s` later than in the recording
  double cut_by_s = 0;
};

struct Tally {
  std::vector<Share> found;
  std::vector<Share> undisturbed;
  std::vector<Share> falsely;
};

bool right_kind(const Case& c, const Finding& f) {
  if (std::find(c.kinds.begin(), c.kinds.end(), f.kind) == c.kinds.end()) return false;
  if (f.notes.empty() || c.notes.empty()) {
    return f.from.value() <= c.to_s + 0.3 && c.from_s <= f.to.value() + 0.3;
  }
  return std::any_of(f.notes.begin(), f.notes.end(), [&](int n) {
    return std::find(c.notes.begin(), c.notes.end(), n) != c.notes.end();
  });
}

bool near(const Case& c, const Finding& f) {
  return f.from.value() <= c.to_s + 0.6 && c.from_s <= f.to.value() + 0.6;
}

bool restart_found(const Case& c, const Hearing& hearing) {
  return std::any_of(hearing.restarts.begin(), hearing.restarts.end(), [&](const Restart& r) {
    return r.to_index == c.restart->first && std::abs(r.time.value() - c.restart->second) < 0.3;
  });
}

/// Of the notes that the alteration leaves alone: still heard, within 50 ms of before.
Share undisturbed(const Base& base, const Case& c, const Hearing& hearing, std::string& moved) {
  Share share;
  for (std::size_t i = 0; i < c.score.original.size(); ++i) {
    const int before = c.score.original[i];
    const bool altered =
        std::find(c.notes.begin(), c.notes.end(), static_cast<int>(i)) != c.notes.end();
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
      moved += notes_in_words(c.score.timeline, hearing, static_cast<int>(i), static_cast<int>(i)) +
               fmt::format("[was {:.2f}]", expected);
    }
  }
  return share;
}

void judge(const Base& base, const Case& c, std::map<std::string, Tally>& tallies, Report& report) {
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
  report.failures.push_back(fmt::format(
      "{} {} at [{}] {:.2f} s: {}{} | {} | moved {:.0f} of {:.0f}:{}", base.recording.name, c.name,
      fmt::join(c.notes, " "), c.from_s, found ? "found" : "NOT FOUND", wrong,
      notes_in_words(c.score.timeline, hearing, first - 1, std::min(first + 3, first + 1)),
      rest.cases - rest.hits, rest.cases, moved));
}

/// Without a bar in any pass: one that stands in another pass is no foreign one.
Altered without_written_bar(const Timeline& timeline, int bar) {
  const int written = timeline.bars[static_cast<std::size_t>(bar)].written_index;
  Altered altered{timeline, {}};
  for (const auto& note : timeline.notes) altered.original.push_back(note.index);
  for (int b = static_cast<int>(timeline.bars.size()); b-- > 0;) {
    if (altered.timeline.bars[static_cast<std::size_t>(b)].written_index != written) continue;
    auto once = without_bar(altered.timeline, b);
    for (int& index : once.original) index = altered.original[static_cast<std::size_t>(index)];
    altered = std::move(once);
  }
  return altered;
}

/// Makes the cases of one recording.
class Cases {
 public:
  Cases(const Base& base, Random random) : base_(base), random_(random) {}

  std::vector<Case> make(int each) {
    for (int i = 0; i < each; ++i) {
      pitch();
      note_put_in();
      note_taken_out();
      rhythm();
      bar_put_in();
      bar_left_out_of_score();
      bar_cut_from_sound();
      go_back();
      start_in_the_middle();
    }
    return std::move(cases_);
  }

 private:
  const Timeline& score() const { return base_.recording.timeline; }
  const Audio& audio() const { return base_.recording.audio; }
  double onset(int index) const { return base_.truth.at(index).first; }
  double offset(int index) const { return base_.truth.at(index).second; }
  int midi(int index) const { return score().notes[static_cast<std::size_t>(index)].midi; }
  Beats length(int index) const { return score().notes[static_cast<std::size_t>(index)].duration; }

  std::optional<int> pick(const std::function<bool(int)>& wanted) {
    std::vector<int> places;
    for (const int i : base_.alone) {
      if (wanted(i)) places.push_back(i);
    }
    if (places.empty()) return std::nullopt;
    return places[static_cast<std::size_t>(random_.whole(0, static_cast<int>(places.size()) - 1))];
  }
  Case& add(const char* name, Altered altered, std::vector<FindingKind> kinds,
            std::vector<int> notes, double from, double to) {
    cases_.push_back({name, std::move(altered), audio(), std::move(kinds), std::move(notes), from,
                      to, std::nullopt});
    return cases_.back();
  }

  void pitch() {
    const int by = (random_.chance(0.5) ? 1 : -1) * random_.whole(1, 4);
    const auto i =
        pick([&](int k) { return midi(k) + by != midi(k - 1) && midi(k) + by != midi(k + 1); });
    if (!i) return;
    add("pitch changed", with_pitch(score(), *i, by),
        {FindingKind::wrong_note, FindingKind::missed_accidental}, {*i}, onset(*i), offset(*i));
  }
  void note_put_in() {
    const auto i = pick([](int) { return true; });
    if (!i) return;
    int pitch = 0;
    do {
      pitch = midi(*i) + random_.whole(-5, 5);
    } while (pitch == midi(*i) || pitch == midi(*i + 1));
    add("note put in", with_note_after(score(), *i, pitch), {FindingKind::missed}, {*i + 1},
        onset(*i), offset(*i + 1));
  }
  void note_taken_out() {
    const auto i = pick([&](int k) { return midi(k) != midi(k - 1); });
    if (!i) return;
    add("note taken out", without_note(score(), *i), {FindingKind::extra}, {*i - 1, *i}, onset(*i),
        offset(*i));
  }
  void rhythm() {
    const auto i = pick([&](int k) {
      return base_.alone.contains(k + 1) && length(k) == length(k + 1) && midi(k) != midi(k + 1);
    });
    if (!i) return;
    add("rhythm changed", with_uneven_pair(score(), *i),
        {FindingKind::early, FindingKind::late, FindingKind::uneven, FindingKind::other_bar_rhythm},
        {*i, *i + 1}, onset(*i), offset(*i + 1));
  }

  /// A bar whose notes and the first after it have a truth; not the first.
  std::optional<int> some_bar() {
    std::vector<int> bars;
    for (int b = 1; b + 1 < static_cast<int>(score().bars.size()); ++b) {
      const auto [from, to] = notes_of_bar(score(), b);
      bool known = from > 0;
      for (int i = from; known && i <= to; ++i) known = base_.truth.contains(i);
      if (known && base_.truth.contains(from - 1)) bars.push_back(b);
    }
    if (bars.empty()) return std::nullopt;
    return bars[static_cast<std::size_t>(random_.whole(0, static_cast<int>(bars.size()) - 1))];
  }
  std::vector<int> range(int from, int to) const {
    std::vector<int> notes;
    for (int i = from; i < to; ++i) notes.push_back(i);
    return notes;
  }

  int written(int bar) const { return score().bars[static_cast<std::size_t>(bar)].written_index; }

  void bar_put_in() {
    const auto bar = some_bar();
    if (!bar) return;
    auto altered = with_bar_before(score(), *bar, *bar, random_.chance(0.5) ? 3 : -4);
    const auto [from, to] = notes_of_bar(altered.timeline, *bar);
    const double place = onset(notes_of_bar(score(), *bar).first);
    add("bar put in", std::move(altered), {FindingKind::missed}, range(from, to), place - 0.3,
        place + 0.3);
  }
  void bar_left_out_of_score() {
    const auto bar = some_bar();
    if (!bar) return;
    const auto [from, to] = notes_of_bar(score(), *bar);
    auto altered = without_written_bar(score(), *bar);
    std::vector<int> around;
    for (std::size_t i = 1; i < altered.original.size(); ++i) {
      const auto place = static_cast<int>(i);
      if (altered.original[i] > altered.original[i - 1] + 1) {
        around.insert(around.end(), {place - 1, place});
      }
    }
    add("bar taken out of the score", std::move(altered), {FindingKind::extra}, std::move(around),
        onset(from), offset(to - 1));
  }
  void bar_cut_from_sound() {
    const auto bar = some_bar();
    if (!bar) return;
    const auto [from, to] = notes_of_bar(score(), *bar);
    const double begin = onset(from) - 0.01;
    const double end = onset(to) - 0.01;
    auto& c = add("bar cut from the sound", unaltered(), {FindingKind::missed}, range(from, to),
                  begin - 0.3, begin + 0.3);
    c.audio = cut(audio(), {{Seconds(0), Seconds(begin)}, {Seconds(end), audio().duration()}});
    c.cut_from_s = end;
    c.cut_by_s = begin - end;
  }
  void go_back() {
    const auto bar = some_bar();
    if (!bar) return;
    const auto [from, to] = notes_of_bar(score(), *bar);
    const int stop = random_.whole(from + 2, to - 1);
    const double back = onset(from) - 0.01;
    const double end = onset(stop + 1) - 0.02;
    auto& c = add("gone back to the bar", unaltered(), {FindingKind::restart},
                  range(from, stop + 1), end - 0.3, end + 0.3);
    c.audio = cut(audio(), {{Seconds(0), Seconds(end)}, {Seconds(back), audio().duration()}});
    c.restart = {from, end + 0.01};
    c.cut_from_s = back;
    c.cut_by_s = end - back;
  }
  void start_in_the_middle() {
    // At the first bar of a repeat nobody can tell which pass it is.
    const auto bar = some_bar();
    if (!bar || written(*bar) == written(0)) return;
    const double begin = onset(notes_of_bar(score(), *bar).first) - 0.15;
    auto& c = add("started in the middle", unaltered(), {}, {}, -10, -9);
    c.audio = cut(audio(), {{Seconds(begin), audio().duration()}});
    c.cut_from_s = 0;
    c.cut_by_s = -begin;
  }
  Altered unaltered() const {
    Altered same{score(), {}};
    for (const auto& note : score().notes) same.original.push_back(note.index);
    return same;
  }

  const Base& base_;
  Random random_;
  std::vector<Case> cases_;
};

Base base_of(const Recording& recording) {
  Base base{recording, hear_take(recording.timeline, recording.audio).hearing, {}, {}};
  for (const auto& row : recording.truth) {
    if (!row.complete) continue;
    for (const int i : row.indices) {
      base.truth[i] = {row.onset.value(), row.offset.value()};
    }
  }
  const auto& notes = recording.timeline.notes;
  const auto chord = [&](int i) {
    return notes[static_cast<std::size_t>(i)].onset == notes[static_cast<std::size_t>(i - 1)].onset;
  };
  for (const auto& [i, times] : base.truth) {
    const bool inside = base.truth.contains(i - 1) && base.truth.contains(i + 1);
    if (inside && !chord(i) && !chord(i + 1)) base.alone.insert(i);
  }
  return base;
}

bool is_wanted(const Settings& settings, const std::string& name) {
  const auto& names = settings.faults;
  return names.empty() || std::find(names.begin(), names.end(), name) != names.end();
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
  std::map<std::string, Tally> tallies;
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
    const auto base = base_of(*recording);
    for (const auto& c : Cases(base, Random(settings.seed)).make(each)) {
      if (is_wanted(settings, c.name)) judge(base, c, tallies, report);
    }
  }
  std::vector<Share> undisturbed;
  std::vector<Share> falsely;
  for (auto& [name, tally] : tallies) {
    if (!tally.found.empty()) {
      auto found = share_figure("altered scores and cuts, real sound", name + ": found",
                                tally.found, "cases", settings.seed);
      found.at_least = name == "pitch changed" ? 0.90 : 0.95;
      report.add(found);
    }
    report.add(share_figure("altered scores and cuts, real sound", name + ": rest undisturbed",
                            tally.undisturbed, "notes", settings.seed));
    undisturbed.insert(undisturbed.end(), tally.undisturbed.begin(), tally.undisturbed.end());
    falsely.insert(falsely.end(), tally.falsely.begin(), tally.falsely.end());
  }
  auto rest = share_figure("altered scores and cuts, all", "rest undisturbed", undisturbed, "notes",
                           settings.seed);
  rest.at_least = 0.995;
  report.add(rest);
  report.add(share_figure("altered scores and cuts, all", "cases with a false finding elsewhere",
                          falsely, "cases", settings.seed));
  return report;
}

}  // namespace endpin::evaluation
