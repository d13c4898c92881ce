#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>

#include "spot_reader.h"

namespace endpin::study_internal {
namespace {

std::optional<Stop> stop_of(const TimelineNote& note, const Instrument& instrument) {
  if (!note.string || !note.finger) return std::nullopt;
  return stop_with(instrument, note.spelled, *note.string, *note.finger);
}

void read_crossings(SpotReader& reader, const Notes& notes) {
  int run = 0;
  for (std::size_t i = 1; i < notes.size(); ++i) {
    const TimelineNote& a = *notes[i - 1];
    const TimelineNote& b = *notes[i];
    if (!a.string || !b.string || a.onset == b.onset) continue;
    const int jumped = std::abs(*a.string - *b.string) - 1;
    if (jumped >= 1) {
      reader.add(Kind::crossing_over, b.bar, {&a, &b},
                 {"study.spot.crossing-over",
                  {{"from", string_letter(reader.instrument, *a.string)},
                   {"to", string_letter(reader.instrument, *b.string)}}},
                 jumped);
    }
    const double gap = reader.seconds(a.onset, b.onset);
    run = *a.string != *b.string && gap > 0 && gap < 1.0 / 3 ? run + 1 : 0;
    if (run >= 3) reader.add(Kind::crossing_fast, b.bar, {&b}, {"study.spot.crossing-fast", {}});
  }
}

// The hand is known by its stopped notes; an open string leaves it where it is.
void read_hand(SpotReader& reader, const Notes& notes) {
  std::optional<int> hand;
  for (const TimelineNote* note : notes) {
    const auto stop = stop_of(*note, reader.instrument);
    if (!stop || stop->finger == 0) continue;
    if (stop->extension != Extension::none) {
      reader.add(Kind::extension, note->bar, {note},
                 {"study.spot.extension", {{"finger", argument(stop->finger)}}});
    }
    if (hand && *hand != stop->hand) {
      const double places = std::abs(*hand - stop->hand);
      reader.add(Kind::shift, note->bar, {note},
                 {"study.spot.shift",
                  {{"position", std::string(position_of(reader.instrument, stop->hand).key)},
                   {"note", note->spelled.text()}}},
                 1 + 0.25 * places);
    }
    hand = stop->hand;
  }
}

// The same finger low and high in one bar (violin, viola).
void read_low_high(SpotReader& reader) {
  if (reader.instrument.count != HandCount::letters) return;
  for (const WrittenBar& bar : reader.bars) {
    std::map<int, std::set<FingerShape>> shapes;
    for (const TimelineNote* note : bar.notes) {
      const auto stop = stop_of(*note, reader.instrument);
      if (!stop || stop->hand != 1 || stop->finger == 0) continue;
      auto& of_finger = shapes[stop->finger];
      of_finger.insert(finger_shape(reader.instrument, *stop));
      if (of_finger.size() == 2) {
        reader.add(Kind::low_high, bar.number, {note},
                   {"study.spot.low-high", {{"finger", argument(stop->finger)}}});
      }
    }
  }
}

// One finger that has to leave a string for another place on the next one: quick fifths that are
// not pure, and pure ones too quick to lay the finger over both.
constexpr double hop_seconds = 0.5;
constexpr double pure_hop_seconds = 0.25;

void read_hops(SpotReader& reader, const Notes& notes) {
  for (std::size_t i = 1; i < notes.size(); ++i) {
    const TimelineNote& a = *notes[i - 1];
    const TimelineNote& b = *notes[i];
    const auto from = stop_of(a, reader.instrument);
    const auto to = stop_of(b, reader.instrument);
    if (!from || !to || a.onset == b.onset || from->finger == 0) continue;
    if (from->finger != to->finger || std::abs(from->string - to->string) != 1) continue;
    const double seconds = reader.seconds(a.onset, b.onset);
    const bool pure = from->above_open == to->above_open;
    if (seconds > (pure ? pure_hop_seconds : hop_seconds)) continue;
    reader.add(Kind::awkward_pattern, b.bar, {&a, &b},
               {"study.spot.awkward-hop",
                {{"finger", argument(to->finger)},
                 {"from", string_letter(reader.instrument, from->string)},
                 {"to", string_letter(reader.instrument, to->string)}}},
               pure ? 0.7 : 1);
  }
}

// Third and fourth finger in turn, at more than three notes a second: the weak side of the hand.
void read_weak_fingers(SpotReader& reader, const Notes& notes) {
  int run = 0;
  for (std::size_t i = 1; i < notes.size(); ++i) {
    const TimelineNote& a = *notes[i - 1];
    const TimelineNote& b = *notes[i];
    const bool in_turn = a.finger && b.finger && *a.finger + *b.finger == 7 &&
                         std::abs(*a.finger - *b.finger) == 1 && a.string == b.string;
    const bool quick = reader.seconds(a.onset, b.onset) < 1.0 / 3;
    run = in_turn && quick ? run + 1 : 0;
    if (run >= 3) {
      reader.add(Kind::awkward_pattern, b.bar, {&a, &b}, {"study.spot.awkward-weak", {}});
    }
  }
}

}  // namespace

void read_hand_spots(SpotReader& reader, const Notes& notes) {
  read_crossings(reader, notes);
  read_hand(reader, notes);
  read_low_high(reader);
  read_hops(reader, notes);
  read_weak_fingers(reader, notes);
}

}  // namespace endpin::study_internal
