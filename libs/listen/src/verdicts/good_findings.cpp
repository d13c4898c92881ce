// What went well. Said of whole bars and of the whole take, never in numbers of merit.
#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "verdicts/clean_bars.h"
#include "verdicts/take_view.h"

namespace endpin::listen {
namespace {

constexpr double in_tune_cents = 15;  // published model recordings stray as far
constexpr double held_share = 0.85;  // ours: a separate stroke sounds for 0.9 of its value and more
constexpr double steady_s = 0.05;    // ensemble asynchrony is 19–35 ms
// Of the tempo around a step against the middle one: by a sixth, in one of so many steps, as at the
// end of a piece (ours).
constexpr double another_tempo = 0.15;
constexpr std::ptrdiff_t one_in = 8;
constexpr std::size_t fewest_notes = 8, fewest_clean_bars = 2;
// A metronome's marks lie 3.4 to 5.6 % apart: within half a step below, one step above (ours).
constexpr double at_tempo = 0.975, above_tempo = 1.06;

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
      // Held unless it is surely shorter: its error is as large as what parts it from the limit.
      const double doubt = h.sounding_ratio_uncertainty.value_or(0);
      if (*h.sounding_ratio + doubt > held_share) t.held.push_back(i);
    }
    if (h.sounding_ratio && w.articulation == Articulation::staccato) {
      t.dotted.push_back(i);
      if (*h.sounding_ratio < 0.75) t.apart.push_back(i);
    }
  }
  return t;
}

// At every step, and nearly all of them as fast as the others.
bool keeps_tempo(const TakeView& take) {
  const auto& strides = take.strides();
  const auto strays = std::count_if(strides.begin(), strides.end(), [&](const Stride& s) {
    return std::abs(std::log(s.ratio / take.pace())) > another_tempo;
  });
  return strays * one_in < std::ssize(strides) &&
         std::none_of(strides.begin(), strides.end(),
                      [&](const Stride& s) { return is_out_of_time(take, s); });
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
  const auto none_of = [&](std::initializer_list<FindingKind> kinds) {
    return std::none_of(work.begin(), work.end(), [&](const Finding& f) {
      return std::find(kinds.begin(), kinds.end(), f.kind) != kinds.end();
    });
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
  const bool even =
      take.strides().size() >= fewest_notes && take.freedom_s() < steady_s && keeps_tempo(take);
  if (even && none_of({FindingKind::early, FindingKind::late, FindingKind::hesitation,
                       FindingKind::rushing, FindingKind::dragging, FindingKind::uneven})) {
    say(take, FindingKind::steady, t.heard, "finding.steady", out);
  }
}

// Bars in which everything was heard and nothing is to be worked on.
void add_clean_bars(const TakeView& take, const std::vector<CleanBar>& bars, Findings& out) {
  if (bars.size() < fewest_clean_bars) return;
  std::vector<int> notes;
  for (const CleanBar& b : bars) {
    for (int i = b.first; i <= b.last; ++i) notes.push_back(i);
  }
  say(take, FindingKind::clean_bar, notes, "finding.clean-bars", out);
}

// All that was played was clean, at the tempo asked for or above it.
void add_clean_at_tempo(const TakeView& take, const std::vector<CleanBar>& bars,
                        const Findings& work, Findings& out) {
  const auto asked = take.asked_bpm();
  if (!asked || !work.empty() || bars.size() < fewest_clean_bars || !keeps_tempo(take)) return;
  const Tally t = tally(take);
  if (t.heard.size() < fewest_notes || static_cast<int>(t.heard.size()) != t.reached) return;
  const auto bpm = fastest_clean_bpm(take, bars);
  if (!bpm || *bpm < at_tempo * *asked || *bpm > above_tempo * *asked) return;
  Finding f = take.about(FindingKind::clean_at_tempo, t.heard, "finding.clean-at-tempo");
  f.message_args["bpm"] = std::round(*bpm);
  f.evidence["bpm"] = *bpm;
  f.evidence["asked_bpm"] = *asked;
  f.confidence = 0.9;
  out.push_back(std::move(f));
}

}  // namespace

void add_good_findings(const TakeView& take, Findings& out) {
  const Findings work = out;
  add_whole_take(take, work, out);
  const auto bars = clean_bars(take, work);
  add_clean_bars(take, bars, out);
  add_clean_at_tempo(take, bars, work, out);
}

}  // namespace endpin::listen
