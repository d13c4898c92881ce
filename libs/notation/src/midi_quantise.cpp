#include "midi_quantise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <tuple>

namespace endpin::notation {
namespace {

struct Division {
  int parts;
  double cost;  // in squared quarters: what its fineness costs against misfit
};
// A sixteenth is as usual as an eighth; triplets are rarer, quintuplets rarer still.
constexpr std::array<Division, 9> divisions{{{1, 0},
                                             {2, 0.0004},
                                             {4, 0.0008},
                                             {3, 0.0012},
                                             {8, 0.003},
                                             {6, 0.003},
                                             {5, 0.006},
                                             {12, 0.008},
                                             {7, 0.008}}};
constexpr double early = 1.0 / 16;    // how far before a beat an onset still belongs to it
constexpr double same = 1.0 / 32;     // onsets closer than this are one chord
constexpr double collision = 0.01;    // cost of two onsets in one place
constexpr double on_grid = 0.01;      // quarters; an end this exact is meant
constexpr double reaches_next = 0.7;  // of the way

struct Beat {
  std::int64_t quarter;
  int parts;
};

double misfit(double place, int parts) {
  const double error = place - std::round(place * parts) / parts;
  return error * error;
}

double cost_of(const std::vector<double>& places, Division division) {
  double cost = division.cost;
  std::set<long> taken;
  double before = -1;
  for (const double place : places) {
    cost += misfit(place, division.parts);
    const bool fresh = taken.insert(std::lround(place * division.parts)).second;
    if (!fresh && place - before > same) cost += collision;
    before = place;
  }
  return cost;
}

int best_parts(const std::vector<double>& places) {
  const auto best = std::min_element(divisions.begin(), divisions.end(), [&](auto a, auto b) {
    return cost_of(places, a) < cost_of(places, b);
  });
  return best->parts;
}

/// The division of each quarter in which something begins, ascending.
std::vector<Beat> beats_of(const std::vector<MidiNote>& notes, double ticks) {
  std::vector<Beat> beats;
  std::vector<double> places;
  const auto flush = [&] {
    if (places.empty()) return;
    std::sort(places.begin(), places.end());
    beats.back().parts = best_parts(places);
    places.clear();
  };
  for (const MidiNote& note : notes) {
    const double at = static_cast<double>(note.start) / ticks;
    const auto quarter = static_cast<std::int64_t>(std::floor(at + early));
    if (beats.empty() || beats.back().quarter != quarter) {
      flush();
      beats.push_back({quarter, 1});
    }
    places.push_back(at - static_cast<double>(quarter));
  }
  flush();
  return beats;
}

Beats snapped(double at, std::int64_t quarter, int parts) {
  const double place = at - static_cast<double>(quarter);
  return Beats(quarter) + Beats(std::lround(place * parts), parts);
}

int parts_at(const std::vector<Beat>& beats, std::int64_t quarter) {
  const auto beat = std::lower_bound(beats.begin(), beats.end(), quarter,
                                     [](const Beat& b, std::int64_t q) { return b.quarter < q; });
  return beat != beats.end() && beat->quarter == quarter ? beat->parts : 1;
}

/// The nearest place that an end may have: sixteenths, or the beat's own division.
Beats snapped_end(double at, const std::vector<Beat>& beats) {
  const auto quarter = static_cast<std::int64_t>(std::floor(at));
  const Beats plain = snapped(at, quarter, 4);
  const Beats own = snapped(at, quarter, parts_at(beats, quarter));
  const auto error = [&](Beats b) { return std::abs(b.to_double() - at); };
  return error(own) < error(plain) ? own : plain;
}

}  // namespace

std::vector<QuantisedNote> quantise(std::vector<MidiNote> notes, Ticks ticks_per_quarter) {
  const auto ticks = static_cast<double>(ticks_per_quarter);
  std::sort(notes.begin(), notes.end(), [](const MidiNote& a, const MidiNote& b) {
    return std::tie(a.start, a.pitch, a.end) < std::tie(b.start, b.pitch, b.end);
  });
  const std::vector<Beat> beats = beats_of(notes, ticks);
  std::vector<QuantisedNote> result;
  for (const MidiNote& note : notes) {
    const double at = static_cast<double>(note.start) / ticks;
    const auto quarter = static_cast<std::int64_t>(std::floor(at + early));
    result.push_back(
        {std::max(Beats(0), snapped(at, quarter, parts_at(beats, quarter))), Beats(0), note.pitch});
  }
  std::vector<Beats> onsets;
  for (const QuantisedNote& note : result) onsets.push_back(note.onset);
  std::sort(onsets.begin(), onsets.end());
  for (std::size_t i = 0; i < notes.size(); ++i) {
    QuantisedNote& note = result[i];
    const double end = static_cast<double>(notes[i].end) / ticks;
    note.end = snapped_end(end, beats);
    const auto next = std::upper_bound(onsets.begin(), onsets.end(), note.onset);
    if (next == onsets.end()) {
      // Nothing follows: a whole beat if it is nearly one.
      const Beats beat(std::lround(end));
      const double off = std::abs(beat.to_double() - end);
      const bool exact = std::abs(note.end.to_double() - end) < on_grid;
      if (!exact && off < 0.15 * (end - note.onset.to_double())) note.end = beat;
      if (note.end <= note.onset) note.end = note.onset + Beats(1, 4);
      continue;
    }
    const double gap = (*next - note.onset).to_double();
    const double sounding = (end - note.onset.to_double()) / gap;
    const bool meant = std::abs(note.end.to_double() - end) < on_grid && sounding < 0.9;
    const bool overlaps_a_little =
        sounding > 1 && (end - next->to_double() < 0.13 || sounding < 1.2);
    if ((sounding >= reaches_next && sounding <= 1 && !meant) || overlaps_a_little ||
        note.end <= note.onset) {
      note.end = *next;
    }
  }
  std::stable_sort(result.begin(), result.end(), [](const auto& a, const auto& b) {
    return a.onset != b.onset ? a.onset < b.onset : a.pitch < b.pitch;
  });
  return result;
}

}  // namespace endpin::notation
