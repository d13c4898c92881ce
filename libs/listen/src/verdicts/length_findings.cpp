// How long notes sound, and whether strokes are joined or apart as written.
#include <algorithm>
#include <cmath>

#include "verdicts/take_view.h"

namespace endpin::listen {
namespace {

constexpr double least_silence_s = 0.18;  // after a note that is called short
constexpr double slur_gap_s = 0.08, stroke_dip_db = 12, gap_dip_db = 12;
constexpr double shortest_judged_s = 0.3;
constexpr int fewest_apart = 2;  // other dotted notes that show that silence can be heard here

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

// A dotted note that runs into the next, where other dotted notes show that silence can be heard.
void add_not_separated(const TakeView& take, Findings& out) {
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
        h.gap.value_or(Seconds(1)).value() < 0.03) {
      joined.push_back(i);
    }
  }
  if (apart < fewest_apart || apart < 2 * static_cast<int>(joined.size())) return;
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
  const HeardNote& h = take.sound(i);
  const double dip = h.dip.value_or(Decibels(0)).value();
  return gap_before(take, i) || (dip > stroke_dip_db && h.attack.value_or(-2) > 2);
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
