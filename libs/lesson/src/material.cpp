#include "endpin/lesson/material.h"

#include <array>

#include "endpin/score/unfold.h"

namespace endpin {
namespace {

SpelledPitch at_staff_step(int steps, int alter) {
  SpelledPitch pitch;
  pitch.octave = (steps >= 0 ? steps : steps - 6) / 7;
  pitch.step = static_cast<Step>(steps - 7 * pitch.octave);
  pitch.alter = alter;
  return pitch;
}

}  // namespace

Transposition Material::transposition() const {
  return sounding_transposition(written(), instrument->name);
}

bool Material::playable(SpelledPitch pitch) const {
  return !stops(*instrument, pitch, reach()).empty();
}

int signature_alter(Step letter, int fifths) {
  // Places on the line of fifths of C D E F G A B.
  constexpr std::array<int, 7> places{0, 2, 4, -1, 1, 3, 5};
  const int distance = fifths - places[static_cast<std::size_t>(letter)] + 5;
  return distance >= 0 ? distance / 7 : -((6 - distance) / 7);
}

SpelledPitch ScaleKey::tonic(int octave) const {
  return from_line_of_fifths(fifths + (minor ? 3 : 0), octave);
}

SpelledPitch ScaleKey::above(SpelledPitch tonic, int steps, bool raised) const {
  const SpelledPitch natural = at_staff_step(tonic.staff_step() + steps, 0);
  const int degree = ((steps % 7) + 7) % 7;
  const bool sharpened = minor && raised && (degree == 5 || degree == 6);
  return at_staff_step(natural.staff_step(),
                       signature_alter(natural.step, fifths) + (sharpened ? 1 : 0));
}

ScaleKey key_of(const Material& material) {
  return material.key.value_or(ScaleKey{material.timeline->fifths, material.timeline->minor});
}

Beats beat_of(const TimeSignature& time) {
  if (time.beats % 3 == 0 && time.beats > 3 && time.beat_type >= 8) {
    return Beats(12, time.beat_type);
  }
  return Beats(4, time.beat_type);
}

}  // namespace endpin
