#include "endpin/lesson/places.h"

#include <algorithm>
#include <optional>
#include <string_view>

namespace endpin {
namespace {

struct Kind {
  std::string_view kind;
  Trouble trouble;
};

// The study's kinds (spot_weights.def) by what helps against them.
constexpr Kind kinds[] = {
    {"twin-bar", Trouble::twin},          {"shift", Trouble::shift},
    {"extension", Trouble::reach},        {"crossing-over", Trouble::crossing},
    {"crossing-fast", Trouble::crossing}, {"awkward-pattern", Trouble::reach},
    {"accidental", Trouble::reach},       {"low-high", Trouble::reach},
    {"dotted", Trouble::rhythm},          {"syncopation", Trouble::rhythm},
    {"triplet", Trouble::rhythm},         {"long-bow", Trouble::long_note},
    {"retake", Trouble::bowing},          {"leap", Trouble::shift},
    {"dense", Trouble::fast_notes},       {"articulation", Trouble::other},
    {"double-stop", Trouble::other},
};

Trouble trouble_of(std::string_view kind) {
  for (const Kind& known : kinds) {
    if (known.kind == kind) return known.trouble;
  }
  return Trouble::other;
}

class Finder {
 public:
  Finder(const Study& study, const Part& part) : study_(study), part_(part) {}

  std::vector<DrillPlace> find() {
    for (const Spot& spot : study_.spots) {
      if (const auto bar = bar_of(spot)) add(place_of(spot, *bar));
    }
    long_notes();
    return std::move(places_);
  }

 private:
  // By the notes where there are any: printed numbers may occur twice.
  std::optional<int> bar_of(const Spot& spot) const {
    for (int i = 0; i < static_cast<int>(part_.bars.size()); ++i) {
      const Bar& bar = bar_at(i);
      if (bar.number != spot.bar) continue;
      const bool holds = std::any_of(bar.notes.begin(), bar.notes.end(), [&](const Note& note) {
        return !spot.notes.empty() && note.id == spot.notes.front();
      });
      if (holds || spot.notes.empty()) return i;
    }
    return bar_numbered(part_, spot.bar);
  }

  const Bar& bar_at(int index) const { return part_.bars[static_cast<std::size_t>(index)]; }

  DrillPlace place_of(const Spot& spot, int bar) const {
    DrillPlace place;
    place.trouble = trouble_of(spot.kind);
    place.bar = bar;
    if (place.trouble == Trouble::twin) place_twin(place, spot.bar);
    if (!spot.notes.empty()) place.note = note_in_line(bar_at(bar), spot.notes.back());
    const bool moves = place.trouble == Trouble::shift || place.trouble == Trouble::crossing;
    // What moves at the bar line is practised over it.
    if (moves && place.note == 0 && bar > 0) {
      place.note = static_cast<int>(line_of(bar_at(bar - 1)).size());
      place.bar = bar - 1;
      place.bars = 2;
    }
    return place;
  }

  void place_twin(DrillPlace& place, const std::string& number) const {
    for (const TwinBars& twins : study_.twins) {
      if (twins.later != number && twins.earlier != number) continue;
      place.twin = bar_numbered(part_, twins.later == number ? twins.earlier : twins.later);
      if (place.twin && *place.twin < place.bar) std::swap(*place.twin, place.bar);
      return;
    }
  }

  // Its place among the notes of `line_of`; nothing if the line has holes or chords before it.
  static std::optional<int> note_in_line(const Bar& bar, std::string_view id) {
    const Phrase line = line_of(bar);
    Beats at;
    for (const Note& note : bar.notes) {
      if (note.id != id) continue;
      for (std::size_t i = 0; i < line.size(); ++i) {
        if (at == note.onset && line[i].pitch == note.pitch) return static_cast<int>(i);
        at += line[i].duration;
      }
    }
    return std::nullopt;
  }

  void add(const DrillPlace& place) { add_place(places_, place); }

  // Notes of two beats or more after shorter ones: where a phrase comes to rest and children let
  // go.
  void long_notes() {
    for (std::size_t i = 0; i < part_.bars.size(); ++i) {
      const Phrase line = line_of(part_.bars[i]);
      for (std::size_t n = 1; n < line.size(); ++n) {
        const bool held = line[n].pitch && line[n].duration >= study_.metre.beat_unit * Beats(2);
        if (held && line[n - 1].duration < line[n].duration) {
          DrillPlace place;
          place.trouble = Trouble::long_note;
          place.bar = static_cast<int>(i);
          add(place);
        }
      }
    }
  }

  const Study& study_;
  const Part& part_;
  std::vector<DrillPlace> places_;
};

}  // namespace

bool same_practice(const DrillPlace& a, const DrillPlace& b) {
  if (a.trouble != b.trouble) return false;
  if (a.bar == b.bar) return true;
  // A third bar that is like both twins needs no drill of its own.
  return a.twin && b.twin && (a.twin == b.twin || (a.twin == b.bar && b.twin == a.bar));
}

void add_place(std::vector<DrillPlace>& places, const DrillPlace& place) {
  const bool known = std::any_of(places.begin(), places.end(), [&](const DrillPlace& other) {
    return same_practice(place, other);
  });
  if (!known) places.push_back(place);
}

std::optional<int> bar_numbered(const Part& part, std::string_view number) {
  for (std::size_t i = 0; i < part.bars.size(); ++i) {
    if (part.bars[i].number == number) return static_cast<int>(i);
  }
  return std::nullopt;
}

std::vector<DrillPlace> places_of(const Study& study, const Part& part) {
  return Finder(study, part).find();
}

}  // namespace endpin
