#pragma once

#include <array>
#include <vector>

#include "endpin/lesson/line.h"
#include "endpin/lesson/material.h"

namespace endpin {

/// A triad of a key: its notes root, third, fifth; octaves mean nothing.
struct Triad {
  int degree = 0;  ///< of the root, 0 is the tonic
  std::array<SpelledPitch, 3> notes{};
  bool holds(SpelledPitch pitch) const;  ///< by pitch class
};

/// One triad a line (a bar), by the notes that it covers, long ones and those on the first beat
/// most; I, V and IV before II and VI, I at the end. A plain reading for beginners' second voices,
/// no analysis. Lines hold sounding or written pitches of `key` all the same.
std::vector<Triad> harmony(const std::vector<Phrase>& bars, const ScaleKey& key);

/// Same key of the keyboard, whatever the octave.
bool same_class(SpelledPitch a, SpelledPitch b);

}  // namespace endpin
