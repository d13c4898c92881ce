#include "drone.h"

#include <algorithm>

#include "endpin/base/pitch.h"

namespace endpin {
namespace {

constexpr Seconds stroke{6};

int lowest_string(const std::string& instrument) {
  if (instrument == "violin") return 55;
  if (instrument == "viola") return 48;
  return instrument == "bass" ? 28 : 36;
}

int tonic(const Timeline& timeline) {
  // A minor key's tonic stands three places further up the line of fifths.
  const int place = timeline.fifths + (timeline.minor ? 3 : 0);
  const int pitch_class = from_line_of_fifths(place, 4).midi() % 12;
  const int lowest = lowest_string(timeline.instrument);
  return lowest + ((pitch_class - lowest) % 12 + 12) % 12;
}

}  // namespace

std::vector<PerformedNote> drone_notes(const Timeline& timeline, Seconds start, Seconds end) {
  const int root = tonic(timeline);
  std::vector<PerformedNote> notes;
  for (const int midi : {root, root + 7}) {
    for (Seconds at = start; at < end; at += stroke) {
      PerformedNote note;
      note.index = -1;
      note.midi = midi;
      note.start = at;
      note.end = std::min(at + stroke, end);
      note.value_end = note.end;
      note.joined_before = at > start;
      note.joined_after = at + stroke < end;
      note.gain = midi == root ? 1.0 : 0.7;
      notes.push_back(note);
    }
  }
  return notes;
}

}  // namespace endpin
