#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>
#include <tuple>

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

Beats span_of(const Comparison& c) { return std::max(span(c.earlier_rest), span(c.later_rest)); }

// The share of the bar's time that is alike.
double alike(const Comparison& c, const WrittenBar& bar) {
  return 1 - (span_of(c) / bar.length).to_double();
}

// Almost the same: at least half of the bar is as it was, and where only the pitches differ they
// do so in one note or within one beat. More is another bar. Ours.
constexpr double least_alike = 0.5;

bool almost_same(const Comparison& c, const WrittenBar& bar) {
  if (alike(c, bar) < least_alike || c.before + c.after == 0) return false;
  return c.rhythm || c.later_rest.size() <= 1 || span_of(c) <= bar.beat;
}

// How easily one bar is taken for the other, 0 … 1 (ours): what is alike counts, and least where
// the difference comes at once, where the bars are far apart, or where other bars lead to them.
double confusability(const Comparison& c, double alike, int bars_apart, bool same_before) {
  const double late = c.before > 0 ? 1.0 : 0.8;
  const double near = 1 - 0.01 * std::min(bars_apart, 16);
  return std::min(1.0, alike * late * near * (same_before ? 1.0 : 0.85));
}

int sign(int value) { return (value > 0) - (value < 0); }

// The tune goes the same way between all notes that the bars share at both ends.
bool same_shape(const Places& a, const Places& b, const Comparison& c) {
  const auto step = [](const Places& list, std::size_t i) {
    return sign(list[i].midi - list[i - 1].midi);
  };
  for (std::size_t i = 1; i < c.before; ++i) {
    if (step(a, i) != step(b, i)) return false;
  }
  for (std::size_t i = 1; i < c.after; ++i) {
    if (step(a, a.size() - i) != step(b, b.size() - i)) return false;
  }
  return true;
}

bool same_pitches(const Places& a, const Places& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const Place& x, const Place& y) { return x.midi == y.midi; });
}

// "duration.many.eighth", "duration.one.quarter": the values in their order, like ones together.
std::string value_keys(const Places& list) {
  std::vector<std::string> keys;
  for (std::size_t i = 0; i < list.size();) {
    std::size_t end = i + 1;
    while (end < list.size() && list[end].duration == list[i].duration) ++end;
    const std::string key = duration_key(list[i].duration);
    if (key.empty()) return {};
    const std::string value = key.substr(std::string_view("duration.").size());
    keys.push_back((end - i > 1 ? "duration.many." : "duration.one.") + value);
    i = end;
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
    if (!here.empty() && !there.empty() && here != there) {
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

// Bars of one rhythm but for a place are twins where the tune or what leads to them is the same;
// bars of the same notes in another rhythm are twins always.
constexpr double other_pitches_share = 0.7;
constexpr double other_rhythm_share = 0.8;

struct Match {
  Comparison comparison;
  double likeness = 0;
};

std::optional<Match> match(const Places& first, const Places& second, const WrittenBar& bar,
                           int bars_apart, bool same_before) {
  const Comparison whole = compare(first, second);
  if (whole.earlier_rest.empty() && whole.later_rest.empty()) return std::nullopt;
  const auto rated = [&](const Comparison& c, double alike) {
    return Match{c, confusability(c, alike, bars_apart, same_before)};
  };
  if (almost_same(whole, bar)) return rated(whole, alike(whole, bar));
  const Comparison rhythm = rhythm_comparison(first, second);
  if (!rhythm.rhythm) return std::nullopt;
  if (same_pitches(first, second) && first.size() > 2) return rated(rhythm, other_rhythm_share);
  if (!almost_same(rhythm, bar)) return std::nullopt;
  const std::size_t shared = rhythm.before + rhythm.after;
  if (!same_before && (shared < 3 || !same_shape(first, second, rhythm))) return std::nullopt;
  return rated(rhythm, other_pitches_share * alike(rhythm, bar));
}

TwinBars twin_of(const WrittenBar& earlier, const WrittenBar& later, const Match& match) {
  const Comparison& c = match.comparison;
  TwinBars twin;
  twin.earlier = earlier.number;
  twin.later = later.number;
  twin.rhythm_differs = c.rhythm;
  twin.pitch_differs = c.pitch;
  const Places& where = c.later_rest.empty() ? c.earlier_rest : c.later_rest;
  twin.at = where.front().onset;
  twin.beat = beat_number(later, twin.at);
  for (const Place& place : c.later_rest) twin.notes.push_back(place.note->id);
  twin.likeness = match.likeness;
  twin.difference = difference(twin, c);
  return twin;
}

// Bars by how they begin and end, so that each is compared with few others.
class Comparer {
 public:
  explicit Comparer(const std::vector<WrittenBar>& bars) : bars_(bars) {
    for (const WrittenBar& bar : bars) {
      places_.push_back(places(bar));
      contents_.push_back(
          numbers_.emplace(content(bar, places_.back()), static_cast<int>(numbers_.size()))
              .first->second);
    }
  }

  std::vector<TwinBars> all() {
    std::vector<TwinBars> list;
    std::set<int> seen;
    for (std::size_t j = 0; j < bars_.size(); ++j) {
      // A bar that returns as it was is told once, at its first coming.
      if (!seen.insert(contents_[j]).second || places_[j].size() < 2) continue;
      if (const auto twin = nearest_twin(j)) list.push_back(*twin);
      remember(j);
    }
    return list;
  }

 private:
  using Content = std::vector<std::tuple<Beats, Beats, int>>;
  using Edge = std::tuple<bool, Beats, Beats, Beats>;  // beginning or end, bar, onset, duration

  static Content content(const WrittenBar& bar, const Places& list) {
    Content values{{bar.length, Beats(0), 0}};
    for (const Place& place : list) values.emplace_back(place.onset, place.duration, place.midi);
    return values;
  }

  std::array<Edge, 2> edges(std::size_t bar) const {
    const Places& list = places_[bar];
    return {Edge{false, bars_[bar].length, list.front().onset, list.front().duration},
            Edge{true, bars_[bar].length, list.back().onset, list.back().duration}};
  }

  void remember(std::size_t bar) {
    for (const Edge& edge : edges(bar)) by_edge_[edge].push_back(bar);
  }

  bool same_before(std::size_t i, std::size_t j) const {
    return i > 0 && contents_[i - 1] == contents_[j - 1];
  }

  // The latest bars that begin or end in the same rhythm; a twin does one of the two, except for
  // one whose values all differ, and there the notes decide.
  std::optional<TwinBars> nearest_twin(std::size_t j) const {
    std::optional<Match> best;
    std::size_t which = 0;
    const auto consider = [&](std::size_t i) {
      if (bars_[i].length != bars_[j].length || places_[i].size() < 2) return;
      const auto found = match(places_[i], places_[j], bars_[j], static_cast<int>(j - i),
                               j > 0 && same_before(i, j));
      if (found && (!best || found->likeness > best->likeness)) best = found, which = i;
    };
    for (const Edge& edge : edges(j)) {
      const auto list = by_edge_.find(edge);
      if (list == by_edge_.end()) continue;
      const auto count = std::min(list->second.size(), most_compared);
      std::for_each(list->second.rbegin(),
                    list->second.rbegin() + static_cast<std::ptrdiff_t>(count), consider);
    }
    for (std::size_t i = j; i-- > 0 && j - i <= neighbours;) consider(i);
    if (!best) return std::nullopt;
    return twin_of(bars_[which], bars_[j], *best);
  }

  static constexpr std::size_t most_compared = 32;
  static constexpr std::size_t neighbours = 16;

  const std::vector<WrittenBar>& bars_;
  std::vector<Places> places_;
  std::vector<int> contents_;
  std::map<Content, int> numbers_;
  std::map<Edge, std::vector<std::size_t>> by_edge_;
};

constexpr std::size_t most_twins = 12;

}  // namespace

std::vector<TwinBars> twin_bars(const std::vector<WrittenBar>& bars) {
  std::vector<TwinBars> list = Comparer(bars).all();
  std::stable_sort(list.begin(), list.end(),
                   [](const TwinBars& a, const TwinBars& b) { return a.likeness > b.likeness; });
  if (list.size() > most_twins) list.resize(most_twins);
  return list;
}

}  // namespace endpin::study_internal
