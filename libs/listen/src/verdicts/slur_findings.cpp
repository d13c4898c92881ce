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
constexpr double stroke_dip_db = 9, stroke_attack = 1;
// A new stroke shows by the dip and by the attack: decibels and four times the log likelihood.
constexpr double attack_weight = 4, clear_stroke = 21, likely_stroke = 18;
constexpr int widest_step = 4;  // semitones on one string, where its open strings aren't known
constexpr std::size_t two = 2;
// A bow that rests lets the tone sink by that much more than one that turns does in this take.
constexpr double deeper_than_turns_db = 10, deep_dip_db = 20;

double dip_db(const TakeView& take, int i) {
  return take.sound(i).dip.value_or(Decibels(0)).value();
}

double stroke_score(const TakeView& take, int i) {
  const double attack = take.sound(i).attack.value_or(-2);
  if (dip_db(take, i) < stroke_dip_db || attack < stroke_attack) return 0;
  return dip_db(take, i) + attack_weight * attack;
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
  const bool heard_gap = before.gap && before.gap->value() > (crosses ? gap_across_s : gap_s) &&
                         *before.sounding_ratio < 0.8 && dip_db(take, i) > gap_dip_db;
  const bool sinks_deep = turn_db && !crosses && dip_db(take, i) > deep_dip_db &&
                          dip_db(take, i) > *turn_db + deeper_than_turns_db;
  return heard_gap || sinks_deep;
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

void judge_slur(const TakeView& take, const std::vector<int>& notes, std::optional<double> turn_db,
                Findings& out) {
  const auto judged = [&](int i) { return take.length_is_judged(i); };
  if (!std::all_of(notes.begin(), notes.end(), judged)) return;
  const double needed = notes.size() == two ? clear_stroke : likely_stroke;
  std::vector<int> rests;
  bool all_new = notes.size() > two || !may_cross(take, notes.back());
  for (const int i : notes) {
    if (i == notes.front()) continue;
    if (rests_before(take, i, turn_db)) rests.push_back(i);
    all_new = all_new && stroke_score(take, i) >= needed;
  }
  if (rests.size() == 1) {
    say_gap(take, rests.front(), out);
  } else if (all_new) {
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
