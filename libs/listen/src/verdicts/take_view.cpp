#include "verdicts/take_view.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "quantiles.h"

namespace endpin::listen {
namespace {

constexpr double least_confidence = 0.93;
// A bow may turn unheard where a dip alone speaks for a beginning; under a slur a leap may be a
// slide, which begins the next note nowhere in particular.
constexpr double clear_attack = 0, clear_dip_db = 4, no_attack = -1;
constexpr int widest_unheard_step = 2;
constexpr double least_share = 0.15;  // of its time: what is shorter may be anything

}  // namespace

TakeView::TakeView(const Hearing& hearing, const Timeline& timeline, const FindingOptions& options,
                   int item)
    : hearing_(hearing),
      timeline_(timeline),
      limits_(thresholds_for(options.step)),
      asked_(options.tempo) {
  for (const NoteHearing& n : hearing.notes) {
    if (n.item == item) notes_.push_back(&n);
  }
  if (notes_.size() != timeline.notes.size()) notes_.clear();  // not this item's
  const auto own = [&](const auto& of) { return of.item == item; };
  std::copy_if(hearing.extra.begin(), hearing.extra.end(), std::back_inserter(extra_), own);
  std::copy_if(hearing.restarts.begin(), hearing.restarts.end(), std::back_inserter(restarts_),
               own);
  find_alone();
  find_strides();
  find_ratios();
}

void TakeView::find_alone() {
  alone_.assign(notes_.size(), true);
  Beats sounding_until;
  for (std::size_t i = 0; i < notes_.size(); ++i) {
    const TimelineNote& n = timeline_.notes[i];
    const bool with_next =
        i + 1 < notes_.size() && timeline_.notes[i + 1].onset < n.onset + n.duration;
    alone_[i] = !with_next && (i == 0 || sounding_until <= n.onset);
    sounding_until = std::max(sounding_until, n.onset + n.duration);
  }
}

std::optional<double> TakeView::asked_bpm() const {
  if (!asked_ && !timeline_.tempo_is_given) return std::nullopt;
  const Bpm quarters = asked_.value_or(timeline_.tempo.tempo_at(Beats(0)));
  return quarters.value() / timeline_.beat_unit.to_double();
}

bool TakeView::slurred_to(int index) const {
  if (index <= 0) return false;
  const TimelineNote &a = written(index - 1), &b = written(index);
  return a.slur_id && a.slur_id == b.slur_id && a.midi != b.midi &&
         b.articulation == Articulation::none && a.articulation == Articulation::none;
}

bool TakeView::length_is_judged(int index) const {
  if (!heard(index) || !alone(index) || written(index).plucked) return false;
  const HeardNote& h = sound(index);
  return h.sounding_ratio && h.offset && h.confidence > least_confidence &&
         !written(index).fermata && written(index).ornament == Ornament::none;
}

bool TakeView::begins_clearly(int index) const {
  const HeardNote& h = sound(index);
  if (h.sounding_ratio && *h.sounding_ratio < least_share) return false;
  const double attack = h.attack.value_or(-2);
  const bool stroke = attack > clear_attack ||
                      (attack > no_attack && h.dip.value_or(Decibels(0)).value() > clear_dip_db);
  const bool step = slurred_to(index) &&
                    std::abs(written(index).midi - written(index - 1).midi) <= widest_unheard_step;
  return h.confidence > least_confidence && (stroke || step);
}

double TakeView::beat_s(int index) const {
  const double written = timeline_.beat_unit.to_double() *
                         timeline_.tempo.tempo_at(this->written(index).onset).per_quarter().value();
  const Stride* stride = stride_to(index);
  if (!stride) stride = stride_from(index);
  return written * (stride ? stride->ratio : 1);
}

bool TakeView::went_back_between(int from, int to) const {
  return std::any_of(restarts_.begin(), restarts_.end(), [&](const Restart& r) {
    return r.time > sound(from).onset && r.time <= sound(to).onset + Seconds(0.01);
  });
}

void TakeView::find_strides() {
  int before = -1;
  for (int i = 0; i < size(); ++i) {
    if (i > 0 && written(i).onset == written(i - 1).onset) continue;  // one of a chord is enough
    if (!heard(i)) {
      before = -1;
      continue;
    }
    if (before >= 0 && sound(i).onset > sound(before).onset) {
      const bool went_back = went_back_between(before, i);
      const double written_s = (timeline_.tempo.seconds_at(written(i).onset) -
                                timeline_.tempo.seconds_at(written(before).onset))
                                   .value();
      const double heard_s = (sound(i).onset - sound(before).onset).value();
      if (!went_back && written_s > 0) strides_.push_back({before, i, written_s, heard_s, 1});
    }
    before = i;
  }
}

void TakeView::find_ratios() {
  constexpr std::size_t reach = 7;
  std::vector<double> excess, paces;
  for (std::size_t i = 0; i < strides_.size(); ++i) {
    std::vector<double> near;
    for (std::size_t j = i > reach ? i - reach : 0; j < std::min(strides_.size(), i + reach + 1);
         ++j) {
      const bool next_to = j + 1 == i || j == i || j == i + 1;
      if (next_to && strides_.size() > 6) continue;
      near.push_back(strides_[j].heard_s / strides_[j].written_s);
    }
    if (near.empty()) near.push_back(strides_[i].heard_s / strides_[i].written_s);
    strides_[i].ratio = middle_of(std::move(near));
    excess.push_back(std::abs(strides_[i].excess_s()));
    paces.push_back(strides_[i].heard_s / strides_[i].written_s);
  }
  if (!paces.empty()) pace_ = middle_of(std::move(paces));
  freedom_s_ = excess.size() < 4 ? 0.05 : 1.48 * middle_of(std::move(excess));
}

const Stride* TakeView::stride_to(int index) const {
  const auto found = std::lower_bound(strides_.begin(), strides_.end(), index,
                                      [](const Stride& s, int i) { return s.to < i; });
  return found == strides_.end() || found->to != index ? nullptr : &*found;
}

const Stride* TakeView::stride_from(int index) const {
  const auto found = std::lower_bound(strides_.begin(), strides_.end(), index,
                                      [](const Stride& s, int i) { return s.from < i; });
  return found == strides_.end() || found->from != index ? nullptr : &*found;
}

Finding TakeView::about(FindingKind kind, std::vector<int> notes, std::string key) const {
  Finding f;
  f.kind = kind;
  f.message_key = std::move(key);
  std::optional<double> from, to;
  for (const int i : notes) {
    const std::string& bar = written(i).bar;
    if (std::find(f.bars.begin(), f.bars.end(), bar) == f.bars.end()) f.bars.push_back(bar);
    if (!note(i).heard) continue;
    const double a = sound(i).onset.value();
    const double b = sound(i).offset.value_or(sound(i).onset).value();
    from = std::min(from.value_or(a), a);
    to = std::max(to.value_or(b), b);
  }
  for (int i = notes.empty() ? -1 : notes.front() - 1; !from && i >= 0; --i) {
    if (note(i).heard) from = sound(i).offset.value_or(sound(i).onset).value();
  }
  for (int i = notes.empty() ? size() : notes.back() + 1; !to && i < size(); ++i) {
    if (note(i).heard) to = sound(i).onset.value();
  }
  f.from = Seconds(from.value_or(0));
  f.to = Seconds(std::max(to.value_or(f.from.value()), f.from.value()));
  f.notes = std::move(notes);
  if (!f.notes.empty()) f.message_args["note"] = written(f.notes.front()).spelled.text();
  f.message_args["bars"] = f.bars;
  return f;
}

}  // namespace endpin::listen
