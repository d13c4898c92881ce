#pragma once

#include "endpin/timeline/timeline.h"

namespace endpin::measures {

/// A timeline of quarter notes from `onset` on, in bars of four.
inline TimelineNote quarter(int index, Beats onset, int midi) {
  TimelineNote note;
  note.index = index;
  note.id = "n" + std::to_string(index);
  note.onset = onset;
  note.duration = Beats(1);
  note.midi = midi;
  return note;
}

}  // namespace endpin::measures
