// How long notes sound, and whether strokes are joined or apart as written.
#include <algorithm>
#include <cmath>
#include <optional>

#include "verdicts/take_view.h"

namespace endpin::listen {
namespace {

constexpr double least_silence_s = 0.18;  // after a note that is called short
constexpr double slur_gap_s = 0.08, gap_dip_db = 12;
constexpr double shortest_judged_s = 0.3;
constexpr int widest_step = 4;  // semitones: what lies within a hand on one string
// Silence between strokes can be heard in a take where the level sinks that far before one note in
// six; in noise and halls it does not. A note that runs on sinks by less than that share of it.
constexpr double silent_dip_db = 20, joined_share = 0.65;

bool judged(const TakeView& take, int i) {
  if (!take.heard(i) || !take.alone(i) || take.written(i).plucked) return false;
  const HeardNote& h = take.sound(i);
  return h.sounding_ratio.has_value() && h.offset.has_value() && h.confidence > 0.6 &&
         !take.written(i).fermata && take.written(i).ornament == Ornament::none;
}

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

void add_short(const TakeView& take, Findings& out) {
  std::vector<int> notes;
  int all = 0;
  for (int i = 0; i < take.size(); ++i) {
    if (!judged(take, i) || short_by_mark(take.written(i)) || in_slur_with_next(take, i)) continue;
    if (written_s(take, i) < shortest_judged_s) continue;
    ++all;
    const HeardNote& h = take.sound(i);
    const bool last = i + 1 == take.size();
    const double silence =
        last ? written_s(take, i) * (1 - *h.sounding_ratio) : h.gap.value_or(Seconds(0)).value();
    if (*h.sounding_ratio < take.limits().held && silence > least_silence_s) notes.push_back(i);
  }
  // Where half of all notes are short, that is how the piece is played, not a slip here and there.
  if (notes.size() * 2 > static_cast<std::size_t>(all) && all > 4) return;
  for (const int i : notes) {
    Finding f = take.about(FindingKind::short_held, {i}, "finding.short-held");
    f.message_args["percent"] = std::round(100 * *take.sound(i).sounding_ratio);
    f.message_args["quarters"] = take.written(i).duration.text();
    f.evidence["sounding_ratio"] = *take.sound(i).sounding_ratio;
    f.confidence = 0.85;
    out.push_back(std::move(f));
  }
}

// The dip that silence between two strokes makes in this take; empty: it can't be heard.
std::optional<double> dip_of_silence(const TakeView& take) {
  std::vector<double> dips;
  for (int i = 1; i < take.size(); ++i) {
    if (take.heard(i) && take.sound(i).dip) dips.push_back(take.sound(i).dip->value());
  }
  if (dips.size() < 6) return std::nullopt;
  const auto at = dips.begin() + static_cast<std::ptrdiff_t>(dips.size() * 5 / 6);
  std::nth_element(dips.begin(), at, dips.end());
  return *at > silent_dip_db ? std::optional(*at) : std::nullopt;
}

// A dotted note that runs into the next, where silence would have been heard.
void add_not_separated(const TakeView& take, Findings& out) {
  const auto silent_dip = dip_of_silence(take);
  if (!silent_dip) return;
  std::vector<int> joined;
  int apart = 0;
  for (int i = 0; i + 1 < take.size(); ++i) {
    if (!judged(take, i) || !take.heard(i + 1)) continue;
    const Articulation a = take.written(i).articulation;
    if (a != Articulation::staccato && a != Articulation::staccatissimo) continue;
    if (take.written(i).onset + take.written(i).duration != take.written(i + 1).onset) continue;
    const HeardNote& h = take.sound(i);
    if (*h.sounding_ratio < 0.75) ++apart;
    const bool rings = take.written(i).open || take.written(i).finger == 0;
    if (!rings && *h.sounding_ratio > take.limits().separated &&
        h.gap.value_or(Seconds(1)).value() < 0.03 &&
        take.sound(i + 1).dip.value_or(Decibels(99)).value() < joined_share * *silent_dip) {
      joined.push_back(i);
    }
  }
  if (apart < static_cast<int>(joined.size()) - 1) return;
  for (const int i : joined) {
    Finding f = take.about(FindingKind::not_separated, {i}, "finding.not-separated");
    f.message_args["percent"] = std::round(100 * *take.sound(i).sounding_ratio);
    f.evidence["sounding_ratio"] = *take.sound(i).sounding_ratio;
    f.confidence = 0.8;
    out.push_back(std::move(f));
  }
}

bool gap_before(const TakeView& take, int i) {
  const auto gap = take.sound(i - 1).gap;
  return gap && gap->value() > slur_gap_s;
}

bool dips(const TakeView& take, int i) {
  return take.sound(i).dip.value_or(Decibels(0)).value() > gap_dip_db;
}

bool new_stroke(const TakeView& take, int i) {
  return dips(take, i) && (gap_before(take, i) || take.sound(i).attack.value_or(-2) > 2);
}

// Across strings the tone may break off inside a slur as well: two notes prove nothing then.
bool leaps(const TakeView& take, int i) {
  return std::abs(take.written(i).midi - take.written(i - 1).midi) > widest_step;
}

void add_slurs(const TakeView& take, Findings& out) {
  for (int i = 1; i < take.size(); ++i) {
    if (!take.slurred_to(i)) continue;
    const int first = i - 1;
    bool known = judged(take, first), all_new = true;
    std::vector<int> notes{first}, gaps;
    for (; i < take.size() && take.slurred_to(i); ++i) {
      notes.push_back(i);
      known = known && judged(take, i);
      if (!known) continue;
      all_new = all_new && new_stroke(take, i);
      if (gap_before(take, i) && *take.sound(i - 1).sounding_ratio < 0.8 && dips(take, i)) {
        gaps.push_back(i);
      }
    }
    if (!known) continue;
    if (notes.size() == 2 && leaps(take, notes[1])) continue;
    if (gaps.size() == 1) {
      Finding f =
          take.about(FindingKind::gap_in_slur, {gaps[0] - 1, gaps[0]}, "finding.gap-in-slur");
      f.evidence["gap_s"] = take.sound(gaps[0] - 1).gap->value();
      f.confidence = 0.85;
      out.push_back(std::move(f));
    } else if (all_new) {
      Finding f = take.about(FindingKind::slur_not_played, notes, "finding.slur-not-played");
      f.message_args["count"] = static_cast<double>(notes.size());
      f.confidence = 0.8;
      out.push_back(std::move(f));
    }
  }
}

}  // namespace

void add_length_findings(const TakeView& take, Findings& out) {
  add_short(take, out);
  add_not_separated(take, out);
  add_slurs(take, out);
}

}  // namespace endpin::listen
