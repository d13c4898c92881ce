#pragma once

#include <string>
#include <vector>

#include "endpin/timeline/timeline.h"

namespace endpin::testing_tunes {

struct Written {
  int midi;
  Beats duration;
  bool rest = false;
};

/// A timeline in 4/4 of one voice; the first bar may be a pickup of `pickup` quarters.
inline Timeline tune(const std::vector<Written>& notes, Beats pickup = Beats(0), double bpm = 60) {
  Timeline timeline;
  timeline.instrument = "cello";
  timeline.tempo = TempoMap(Bpm(bpm));
  Beats at{0};
  for (const Written& written : notes) {
    if (!written.rest) {
      TimelineNote note;
      note.index = static_cast<int>(timeline.notes.size());
      note.id = "n" + std::to_string(note.index);
      note.onset = at;
      note.duration = written.duration;
      note.midi = written.midi;
      note.spelled = spell(written.midi, 0);
      note.stroke_id = note.index;
      timeline.notes.push_back(note);
    }
    at += written.duration;
  }
  int number = pickup > Beats(0) ? 0 : 1;
  for (Beats start{0}; start < at; ++number) {
    const Beats length = number == 0 ? pickup : Beats(4);
    timeline.bars.push_back({std::to_string(number), number, 1, start, length, 4, 4});
    start += length;
  }
  return timeline;
}

/// `count` quarters of one pitch.
inline std::vector<Written> quarters(int midi, int count) {
  return std::vector<Written>(static_cast<std::size_t>(count), Written{midi, Beats(1)});
}

}  // namespace endpin::testing_tunes
