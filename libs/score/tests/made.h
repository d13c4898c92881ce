#pragma once

#include <functional>
#include <string>
#include <vector>

#include "endpin/score/unfold.h"

/// Small parts for tests.
namespace endpin::test {

/// One quarter note.
inline Note quarter(std::string_view pitch, Beats onset) {
  Note note;
  note.id = std::string(pitch) + "@" + onset.text();
  note.pitch = *SpelledPitch::parse(pitch);
  note.onset = onset;
  note.duration = Beats(1);
  return note;
}

/// `count` bars of 4/4, numbered from 1, with a quarter in each.
inline Part bars(int count) {
  Part part;
  part.name = "Cello";
  for (int i = 0; i < count; ++i) {
    Bar bar;
    bar.number = std::to_string(i + 1);
    bar.length = Beats(4);
    bar.notes.push_back(quarter("D3", Beats(0)));
    part.bars.push_back(bar);
  }
  return part;
}

/// The played order as bar numbers: "1 2 1 2".
inline std::string order_of(const Part& part) {
  std::string text;
  for (const PlayedBar& played : unfold(part).bars) {
    text += (text.empty() ? "" : " ") + part.bars[played.bar].number;
  }
  return text;
}

inline Navigation& at(Part& part, int bar_number) { return part.bars[bar_number - 1].navigation; }

inline void ending(Part& part, int bar_number, std::vector<int> numbers) {
  at(part, bar_number).ending = std::move(numbers);
  at(part, bar_number).ending_starts = at(part, bar_number).ending_stops = true;
}

}  // namespace endpin::test
