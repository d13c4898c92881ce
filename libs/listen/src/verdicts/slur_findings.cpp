// Whether what is slurred goes in one bow.
#include <algorithm>
#include <string_view>

#include "measure/open_strings.h"
#include "quantiles.h"
#include "verdicts/take_view.h"

namespace endpin::listen {
namespace {

// Chosen on simulated takes: of 840 notes that went on in the bow, none reached these.
constexpr double gap_s = 0.08, gap_dip_db = 12;
constexpr double gap_across_s = 0.12;  // where the string changes as well
constexpr double least_sound_s = 0.1;  // ours: of what ends sooner the end is not known
// A bow that rests lets the tone die away well before the next begins. Of 2082 notes that a singer
// went on from in the bow (voices below 100) none fell by more than 9.3 dB and dipped by 9 (one in
// noise was lost), of 39 that did not 25 fell by more.
constexpr double rest_fall_db = 10, rest_fall_across_db = 11, rest_dip_db = 9;
// A new stroke shows by the dip, by the attack and by silence before it: decibels, four times the
// log likelihood, a decibel each 10 ms. Those 483 notes have 20.9 at most, no silence among them,
// 17 of 24 in strokes of their own more.
constexpr double attack_weight = 4, silence_weight = 100, most_silence_s = 0.15;
constexpr double clear_stroke = 24, clear_after_silence = 20, silence_s = 0.05;
constexpr double likely_stroke = 18, least_stroke = 12;
constexpr int widest_step = 4;  // semitones on one string, where its open strings aren't known
constexpr std::size_t two = 2;
// A bow that rests lets the tone sink by that much more than one that turns does in this take.
constexpr double deeper_than_turns_db = 10, deep_dip_db = 20;

double dip_db(const TakeView& take, int i) {
  return take.sound(i).dip.value_or(Decibels(0)).value();
}

double silence_before(const TakeView& take, int i) {
  return std::clamp(take.sound(i - 1).gap.value_or(Seconds(0)).value(), 0.0, most_silence_s);
}

double stroke_score(const TakeView& take, int i) {
  return dip_db(take, i) + attack_weight * take.sound(i).attack.value_or(-2) +
         silence_weight * silence_before(take, i);
}

bool crosses_open_string(std::string_view instrument, int low, int high) {
  const auto* strings = open_strings(instrument);
  if (!strings) return high - low > widest_step;
  return std::any_of(strings->begin(), strings->end(),
                     [&](const OpenString& s) { return low < s.midi && s.midi <= high; });
}

// Across strings the tone may break off inside a slur as well, and begin again like a stroke.
bool may_cross(const TakeView& take, int i) {
  const TimelineNote &a = take.written(i - 1), &b = take.written(i);
  if (a.string && b.string) return a.string != b.string;
  return crosses_open_string(take.timeline().instrument, std::min(a.midi, b.midi),
                             std::max(a.midi, b.midi));
}

// Middle dip at notes that begin a stroke of their own; empty: too few to say.
std::optional<double> usual_turn_db(const TakeView& take) {
  std::vector<double> dips;
  for (int i = 1; i < take.size(); ++i) {
    if (take.heard(i) && !take.slurred_to(i)) dips.push_back(dip_db(take, i));
  }
  if (dips.size() < 5) return std::nullopt;
  return middle_of(std::move(dips));
}

bool rests_before(const TakeView& take, int i, std::optional<double> turn_db) {
  const HeardNote& before = take.sound(i - 1);
  const bool crosses = may_cross(take, i);
  const bool sounded = (*before.offset - before.onset).value() >= least_sound_s;
  const bool heard_gap = sounded && before.gap &&
                         before.gap->value() > (crosses ? gap_across_s : gap_s) &&
                         *before.sounding_ratio < 0.8 && dip_db(take, i) > gap_dip_db;
  const bool sinks_deep = turn_db && !crosses && dip_db(take, i) > deep_dip_db &&
                          dip_db(take, i) > *turn_db + deeper_than_turns_db;
  const double fall = before.fall.value_or(Decibels(0)).value();
  const bool dies_away =
      fall > (crosses ? rest_fall_across_db : rest_fall_db) && dip_db(take, i) > rest_dip_db;
  return heard_gap || sinks_deep || dies_away;
}

void say_gap(const TakeView& take, int i, Findings& out) {
  Finding f = take.about(FindingKind::gap_in_slur, {i - 1, i}, "finding.gap-in-slur");
  f.evidence["gap_s"] = take.sound(i - 1).gap.value_or(Seconds(0)).value();
  f.evidence["dip_db"] = dip_db(take, i);
  f.confidence = 0.85;
  out.push_back(std::move(f));
}

void say_not_played(const TakeView& take, const std::vector<int>& notes, Findings& out) {
  Finding f = take.about(FindingKind::slur_not_played, notes, "finding.slur-not-played");
  f.message_args["count"] = static_cast<double>(notes.size());
  f.confidence = 0.8;
  out.push_back(std::move(f));
}

// Two notes must show it clearly, on one string; of more it must be likely throughout.
bool in_strokes_of_their_own(const TakeView& take, const std::vector<int>& notes) {
  const int second = notes[1];
  if (notes.size() == two) {
    const bool after_silence = silence_before(take, second) >= silence_s;
    return !may_cross(take, second) &&
           stroke_score(take, second) >= (after_silence ? clear_after_silence : clear_stroke);
  }
  double sum = 0, needed = 0, least = clear_stroke;
  for (const int i : notes) {
    if (i == notes.front()) continue;
    sum += stroke_score(take, i);
    needed += may_cross(take, i) ? clear_stroke : likely_stroke;
    least = std::min(least, stroke_score(take, i));
  }
  return least >= least_stroke && sum >= needed;
}

void judge_slur(const TakeView& take, const std::vector<int>& notes, std::optional<double> turn_db,
                Findings& out) {
  const auto judged = [&](int i) { return take.length_is_judged(i); };
  if (!std::all_of(notes.begin(), notes.end(), judged)) return;
  std::vector<int> rests;
  for (const int i : notes) {
    if (i != notes.front() && rests_before(take, i, turn_db)) rests.push_back(i);
  }
  if (rests.size() == 1) {
    say_gap(take, rests.front(), out);
  } else if (in_strokes_of_their_own(take, notes)) {
    say_not_played(take, notes, out);
  }
}

}  // namespace

void add_slur_findings(const TakeView& take, Findings& out) {
  const auto turn_db = usual_turn_db(take);
  for (int i = 1; i < take.size(); ++i) {
    if (!take.slurred_to(i)) continue;
    std::vector<int> notes{i - 1};
    for (; i < take.size() && take.slurred_to(i); ++i) notes.push_back(i);
    judge_slur(take, notes, turn_db, out);
  }
}

}  // namespace endpin::listen
