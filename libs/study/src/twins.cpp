#include <algorithm>
#include <cmath>

#include "endpin/words/note_names.h"

#include "sections.h"

namespace endpin::study_internal {
namespace {

struct Place {
  Beats onset;
  Beats duration;
  int midi = 0;
  const TimelineNote* note = nullptr;
  bool same_rhythm(const Place& other) const {
    return onset == other.onset && duration == other.duration;
  }
};
using Places = std::vector<Place>;

Places places(const WrittenBar& bar) {
  Places list;
  for (const TimelineNote* note : bar.notes) {
    list.push_back({note->onset - bar.start, note->duration, note->midi, note});
  }
  return list;
}

// What two bars share at the beginning and at the end, and what is left between.
struct Comparison {
  std::size_t before = 0;
  std::size_t after = 0;
  Places earlier_rest;
  Places later_rest;
  bool rhythm = false;  // differs
  bool pitch = false;
};

bool same(const Place& a, const Place& b) { return a.same_rhythm(b) && a.midi == b.midi; }

Comparison compare(const Places& a, const Places& b) {
  Comparison c;
  const std::size_t shorter = std::min(a.size(), b.size());
  while (c.before < shorter && same(a[c.before], b[c.before])) ++c.before;
  while (c.after < shorter - c.before &&
         same(a[a.size() - 1 - c.after], b[b.size() - 1 - c.after])) {
    ++c.after;
  }
  const auto middle = [&](const Places& list) {
    return Places(list.begin() + static_cast<std::ptrdiff_t>(c.before),
                  list.end() - static_cast<std::ptrdiff_t>(c.after));
  };
  c.earlier_rest = middle(a);
  c.later_rest = middle(b);
  c.rhythm = c.earlier_rest.size() != c.later_rest.size() ||
             !std::equal(c.earlier_rest.begin(), c.earlier_rest.end(), c.later_rest.begin(),
                         [](const Place& x, const Place& y) { return x.same_rhythm(y); });
  for (std::size_t i = 0; i < std::min(c.earlier_rest.size(), c.later_rest.size()); ++i) {
    c.pitch |= c.earlier_rest[i].midi != c.later_rest[i].midi;
  }
  return c;
}

Beats span(const Places& rest) {
  return rest.empty() ? Beats(0) : rest.back().onset + rest.back().duration - rest.front().onset;
}

// The share of the bar's time that is alike. A difference after a like beginning deceives more than
// one that is seen at once; bars that are nearer are confused more easily. Ours.
double likeness(const Comparison& c, const WrittenBar& a, const WrittenBar& b, int bars_apart) {
  const double length = std::max(a.length, b.length).to_double();
  const double differs = std::max(span(c.earlier_rest), span(c.later_rest)).to_double();
  const double alike = 1 - differs / length;
  const double late = c.before > 0 ? 1.0 : 0.75;
  return alike * late * (1 - 0.01 * std::min(bars_apart, 16));
}

// The same rhythm on other notes is another bar; the same notes but for a place are twins.
constexpr double least_likeness = 0.45;
// A rhythm that differs by one beat while the tune keeps its shape is a twin too.
constexpr double rhythm_only_likeness = 0.5;

int sign(int value) { return (value > 0) - (value < 0); }

bool same_shape(const Places& a, const Places& b) {
  if (a.empty() || b.empty()) return false;
  return sign(a.back().midi - a.front().midi) == sign(b.back().midi - b.front().midi);
}

std::string value_keys(const Places& list) {
  std::vector<std::string> keys;
  for (const Place& place : list) {
    const std::string key = duration_key(place.duration);
    if (!key.empty() && (keys.empty() || keys.back() != key)) keys.push_back(key);
  }
  return keys.size() <= 3 ? argument(keys) : std::string();
}

Sentence difference(const TwinBars& twin, const Comparison& c) {
  Sentence s{"study.twin.other",
             {{"bar", twin.later}, {"earlier", twin.earlier}, {"beat", argument(twin.beat)}}};
  if (!twin.rhythm_differs && c.later_rest.size() == 1) {
    s.key = "study.twin.pitch";
    s.args["here"] = c.later_rest[0].note->spelled.text();
    s.args["there"] = c.earlier_rest[0].note->spelled.text();
  } else if (!twin.rhythm_differs) {
    s.key = "study.twin.pitches";
  } else {
    const std::string here = value_keys(c.later_rest);
    const std::string there = value_keys(c.earlier_rest);
    if (!here.empty() && !there.empty()) {
      s.key = "study.twin.rhythm";
      s.args["here"] = here;
      s.args["there"] = there;
    }
  }
  return s;
}

// The first place where the rhythms part, with the rest of the bars cut to where they part.
Comparison rhythm_comparison(const Places& a, const Places& b) {
  Places flat_a = a;
  Places flat_b = b;
  for (Place& place : flat_a) place.midi = 0;
  for (Place& place : flat_b) place.midi = 0;
  return compare(flat_a, flat_b);
}

std::optional<TwinBars> twins(const WrittenBar& a, const WrittenBar& b, int bars_apart) {
  const Places first = places(a);
  const Places second = places(b);
  if (a.length != b.length || first.size() < 2 || second.size() < 2) return std::nullopt;
  Comparison c = compare(first, second);
  if (c.earlier_rest.empty() && c.later_rest.empty()) return std::nullopt;  // simply alike
  double like = likeness(c, a, b, bars_apart);
  if (like < least_likeness || c.before + c.after == 0) {
    c = rhythm_comparison(first, second);
    if (!c.rhythm || !same_shape(first, second)) return std::nullopt;
    like = 0.6 * likeness(c, a, b, bars_apart);
    if (like < 0.6 * rhythm_only_likeness || c.before + c.after == 0) return std::nullopt;
  }
  TwinBars twin;
  twin.earlier = a.number;
  twin.later = b.number;
  twin.rhythm_differs = c.rhythm;
  twin.pitch_differs = c.pitch;
  const Places& where = c.later_rest.empty() ? c.earlier_rest : c.later_rest;
  twin.at = where.front().onset;
  twin.beat = beat_number(b, twin.at);
  for (const Place& place : c.later_rest) twin.notes.push_back(place.note->id);
  twin.likeness = like;
  twin.difference = difference(twin, c);
  return twin;
}

constexpr std::size_t most_twins = 12;

}  // namespace

std::vector<TwinBars> twin_bars(const std::vector<WrittenBar>& bars) {
  std::vector<TwinBars> list;
  for (std::size_t j = 1; j < bars.size(); ++j) {
    std::optional<TwinBars> best;
    bool seen_before = false;
    for (std::size_t i = 0; i < j; ++i) {
      const auto twin = twins(bars[i], bars[j], static_cast<int>(j - i));
      if (twin && (!best || twin->likeness > best->likeness)) best = twin;
      const Comparison c = compare(places(bars[i]), places(bars[j]));
      seen_before |= c.earlier_rest.empty() && c.later_rest.empty();
    }
    // A bar that returns as it was is told once, at its first coming.
    if (best && !seen_before) list.push_back(*best);
  }
  std::stable_sort(list.begin(), list.end(),
                   [](const TwinBars& a, const TwinBars& b) { return a.likeness > b.likeness; });
  if (list.size() > most_twins) list.resize(most_twins);
  return list;
}

}  // namespace endpin::study_internal
