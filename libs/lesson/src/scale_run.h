#pragma once

#include <vector>

#include "endpin/lesson/material.h"

namespace endpin {

/// A run of neighbouring scale notes that the step's hand can play, sounding, upward and downward
/// (the melodic form of a minor key differs). Equal in length; `top_is_tonic`: a full octave or
/// two.
struct ScaleRun {
  std::vector<SpelledPitch> up;
  std::vector<SpelledPitch> down;  ///< from the top
  bool octave = false;
};

/// An octave from the tonic nearest to where the piece lies, or a fifth from the tonic, or the
/// longest run that can be played; empty if that has fewer than three notes.
ScaleRun playable_scale(const Material& material);

}  // namespace endpin
