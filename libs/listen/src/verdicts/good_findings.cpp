// What went well. Said of whole bars and of the whole take, never in numbers of merit.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "verdicts/take_view.h"

namespace endpin::listen {
namespace {

constexpr double in_tune_cents = 15;  // published model recordings stray as far
constexpr double steady_s = 0.05;     // ensemble asynchrony is 19–35 ms
constexpr std::size_t fewest_notes = 8;

struct Tally {
  std::vector<int> heard, in_tune, held, apart, dotted;
  int reached = 0, pitched = 0, sustained = 0;
};

Tally tally(const TakeView& take) {
  Tally t;
  for (int i = 0; i < take.size(); ++i) {
    if (take.note(i).state == NoteState::not_reached) continue;
    ++t.reached;
    if (!take.heard(i)) continue;
    t.heard.push_back(i);
    const HeardNote& h = take.sound(i);
    if (h.intonation) {
      ++t.pitched;
      if (std::abs(h.intonation->value()) <= in_tune_cents) t.in_tune.push_back(i);
    }
    const TimelineNote& w = take.written(i);
    if (h.sounding_ratio && w.articulation == Articulation::none && w.duration >= Beats(1)) {
      ++t.sustained;
      if (*h.sounding_ratio > 0.85) t.held.push_back(i);
    }
    if (h.sounding_ratio && w.articulation == Articulation::staccato) {
      t.dotted.push_back(i);
      if (*h.sounding_ratio < 0.75) t.apart.push_back(i);
    }
  }
  return t;
}

void say(const TakeView& take, FindingKind kind, const std::vector<int>& notes,
         const std::string& key, Findings& out) {
  Finding f = take.about(kind, notes, key);
  f.message_args["count"] = static_cast<double>(notes.size());
  f.confidence = 0.9;
  out.push_back(std::move(f));
}

void add_whole_take(const TakeView& take, const Findings& work, Findings& out) {
  const Tally t = tally(take);
  const auto none_of = [&](std::set<FindingKind> kinds) {
    return std::none_of(work.begin(), work.end(),
                        [&](const Finding& f) { return kinds.contains(f.kind); });
  };
  const auto most = [](std::size_t part, int all) {
    return all >= static_cast<int>(fewest_notes) && static_cast<int>(part) * 10 >= all * 9;
  };
  if (most(t.in_tune.size(), t.pitched) &&
      none_of({FindingKind::flat, FindingKind::sharp, FindingKind::string_out_of_tune})) {
    say(take, FindingKind::in_tune, t.in_tune, "finding.in-tune", out);
  }
  if (most(t.held.size(), t.sustained) && none_of({FindingKind::short_held})) {
    say(take, FindingKind::held_full, t.held, "finding.held-full", out);
  }
  if (t.dotted.size() >= 4 && most(t.apart.size() * 2, static_cast<int>(t.dotted.size()) * 2)) {
    say(take, FindingKind::separated, t.apart, "finding.separated", out);
  }
  const bool even = take.strides().size() >= fewest_notes && take.freedom_s() < steady_s;
  if (even && none_of({FindingKind::early, FindingKind::late, FindingKind::hesitation,
                       FindingKind::rushing, FindingKind::dragging, FindingKind::uneven})) {
    say(take, FindingKind::steady, t.heard, "finding.steady", out);
  }
}

// Bars in which everything was heard and nothing is to be worked on.
void add_clean_bars(const TakeView& take, const Findings& work, Findings& out) {
  std::set<int> worked_on;
  for (const Finding& f : work) worked_on.insert(f.notes.begin(), f.notes.end());
  std::vector<int> clean;
  std::vector<std::string> bars;
  for (int i = 0; i < take.size();) {
    int j = i;
    bool good = true;
    for (; j < take.size() && take.written(j).bar == take.written(i).bar &&
           take.written(j).pass == take.written(i).pass;
         ++j) {
      good = good && take.heard(j) && !worked_on.contains(j);
    }
    if (good) {
      for (int k = i; k < j; ++k) clean.push_back(k);
      bars.push_back(take.written(i).bar);
    }
    i = j;
  }
  if (bars.size() < 2) return;
  say(take, FindingKind::clean_bar, clean, "finding.clean-bars", out);
}

}  // namespace

void add_good_findings(const TakeView& take, Findings& out) {
  const Findings work = out;
  add_whole_take(take, work, out);
  add_clean_bars(take, work, out);
}

}  // namespace endpin::listen
