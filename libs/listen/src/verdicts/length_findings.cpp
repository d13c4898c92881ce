// How long notes sound, and whether dotted ones are apart.
#include <algorithm>
#include <cmath>

#include "measure/open_strings.h"
#include "verdicts/take_view.h"

namespace endpin::listen {
namespace {

constexpr double least_silence_s = 0.18;  // after a note that is called short
// A bow sounds for longer than this even where it is short; what seems shorter is an attack that
// gain control turned down. And the silence after it must be one.
constexpr double least_sound_s = 0.15, least_fall_db = 8;
constexpr double shortest_judged_s = 0.3, long_note_s = 0.75;
constexpr std::size_t fewest_long = 3;  // ours
constexpr double sure_attack = 0.5, sure_dip_db = 6;
// Chosen on simulated takes: dotted notes that ran on had sunk by 1.3 dB at most before the next
// began, those that stood apart by 7.6 at least, an open string in a room by 2.7.
constexpr double joined_fall_db = 1.8, apart_fall_db = 6;
// A room of two seconds takes 4 dB of a tone in the half of such a note.
constexpr double least_dotted_s = 0.25;
constexpr std::size_t fewest_dotted = 3;

double written_s(const TakeView& take, int i) {
  const HeardNote& h = take.sound(i);
  return (*h.offset - h.onset).value() / std::max(0.05, *h.sounding_ratio);
}

bool short_by_mark(const TimelineNote& n) {
  return n.articulation != Articulation::none && n.articulation != Articulation::tenuto &&
         n.articulation != Articulation::accent;
}

bool in_slur_with_next(const TakeView& take, int i) {
  return i + 1 < take.size() && take.slurred_to(i + 1);
}

// What is said to be short must begin where it is said to; a first note may have been placed late.
bool begins_surely(const HeardNote& h) {
  return h.attack.value_or(-2) >= sure_attack || h.dip.value_or(Decibels(0)).value() >= sure_dip_db;
}

// Something else sounds in the silence after it: that is said.
bool is_followed_by_extra(const TakeView& take, int i) {
  const auto& extra = take.extra();
  return std::any_of(extra.begin(), extra.end(),
                     [&](const ExtraNote& e) { return e.after_index == i; });
}

bool falls_silent(const HeardNote& h) {
  const double sounded_s = (*h.offset - h.onset).value();
  return sounded_s >= least_sound_s && h.fall.value_or(Decibels(99)).value() >= least_fall_db;
}

void say_of_many(const TakeView& take, FindingKind kind, const char* key,
                 const std::vector<int>& notes, Findings& out) {
  Finding f = take.about(kind, notes, key);
  f.message_args["count"] = static_cast<double>(notes.size());
  f.confidence = 0.85;
  out.push_back(std::move(f));
}

bool may_be_short(const TakeView& take, int i) {
  return take.length_is_judged(i) && !short_by_mark(take.written(i)) &&
         !in_slur_with_next(take, i) && written_s(take, i) >= shortest_judged_s;
}

bool is_short(const TakeView& take, int i) {
  const HeardNote& h = take.sound(i);
  const bool last = i + 1 == take.size();
  const double silence =
      last ? written_s(take, i) * (1 - *h.sounding_ratio) : h.gap.value_or(Seconds(0)).value();
  return *h.sounding_ratio < take.limits().held && silence > least_silence_s && falls_silent(h) &&
         begins_surely(h) && !is_followed_by_extra(take, i);
}

void add_short(const TakeView& take, Findings& out) {
  std::vector<int> notes;
  std::size_t all = 0;
  for (int i = 0; i < take.size(); ++i) {
    if (!may_be_short(take, i)) continue;
    ++all;
    if (is_short(take, i)) notes.push_back(i);
  }
  // Where half of all notes are short, that is how the piece is played, not a slip here and there;
  // but no way of playing takes half of the long ones.
  if (notes.size() * 2 > all && all > 4) {
    std::erase_if(notes, [&](int i) { return written_s(take, i) < long_note_s; });
    if (notes.size() < fewest_long) return;
    return say_of_many(take, FindingKind::short_held, "finding.short-held.long", notes, out);
  }
  for (const int i : notes) {
    Finding f = take.about(FindingKind::short_held, {i}, "finding.short-held");
    f.message_args["percent"] = std::round(100 * *take.sound(i).sounding_ratio);
    f.message_args["quarters"] = take.written(i).duration.text();
    f.evidence["sounding_ratio"] = *take.sound(i).sounding_ratio;
    f.confidence = 0.85;
    out.push_back(std::move(f));
  }
}

// Dots under a slur are pulses of one bow, apart by hardly more than that (common practice).
bool is_portato(const TakeView& take, int i) {
  const TimelineNote &n = take.written(i), &next = take.written(i + 1);
  return n.slur_id && n.slur_id == next.slur_id;
}

bool dotted_into_next(const TakeView& take, int i) {
  const Articulation a = take.written(i).articulation;
  return !is_portato(take, i) &&
         (a == Articulation::staccato || a == Articulation::staccatissimo) &&
         take.length_is_judged(i) && take.heard(i + 1) && take.sound(i).fall &&
         take.written(i).onset + take.written(i).duration == take.written(i + 1).onset;
}

// An open string rings on, and so it does where its pitch is stopped on another, or where no finger
// is written.
bool rings(const TakeView& take, int i) {
  const TimelineNote& n = take.written(i);
  const auto* strings = open_strings(take.timeline().instrument);
  const auto is_tuned_so = [&](const auto& string) { return string.midi == n.midi; };
  return n.open || n.finger == 0 ||
         (strings && std::any_of(strings->begin(), strings->end(), is_tuned_so));
}

bool runs_on(const TakeView& take, int i) {
  const HeardNote& h = take.sound(i);
  return !rings(take, i) && *h.sounding_ratio > take.limits().separated &&
         h.gap.value_or(Seconds(1)).value() < 0.03 && h.fall->value() < joined_fall_db;
}

// A dotted note that runs into the next.
void add_not_separated(const TakeView& take, Findings& out) {
  std::vector<int> joined, long_and_joined;
  int apart = 0, all = 0;
  for (int i = 0; i + 1 < take.size(); ++i) {
    if (!dotted_into_next(take, i)) continue;
    if (!rings(take, i)) ++all;
    if (take.sound(i).fall->value() > apart_fall_db) ++apart;
    if (!runs_on(take, i)) continue;
    joined.push_back(i);
    if (written_s(take, i) > least_dotted_s) long_and_joined.push_back(i);
  }
  // No room rings so long that none of them sinks: none was played apart.
  if (long_and_joined.size() >= fewest_dotted &&
      4 * long_and_joined.size() >= 3 * static_cast<std::size_t>(all)) {
    return say_of_many(take, FindingKind::not_separated, "finding.not-separated.most", joined, out);
  }
  if (apart < static_cast<int>(joined.size()) - 1) return;
  for (const int i : joined) {
    Finding f = take.about(FindingKind::not_separated, {i}, "finding.not-separated");
    f.message_args["percent"] = std::round(100 * *take.sound(i).sounding_ratio);
    f.evidence["sounding_ratio"] = *take.sound(i).sounding_ratio;
    f.evidence["fall_db"] = take.sound(i).fall->value();
    f.confidence = 0.8;
    out.push_back(std::move(f));
  }
}

}  // namespace

void add_length_findings(const TakeView& take, Findings& out) {
  add_short(take, out);
  add_not_separated(take, out);
}

}  // namespace endpin::listen
