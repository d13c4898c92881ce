#include "endpin/score/score.h"

#include "endpin/base/beats.h"

namespace endpin {

Beats WrittenDuration::beats() const {
  // A maxima is 8 whole notes; each later value is half of the one before. A dot adds half of what
  // came before it, so that n dots make (2^(n+1) - 1) / 2^n.
  const int halvings = static_cast<int>(value);
  const Beats plain(32, std::int64_t{1} << halvings);
  const std::int64_t parts = std::int64_t{1} << dots;
  return plain * Beats(2 * parts - 1, parts) * Beats(normal_notes, actual_notes);
}

SpelledPitch sounding(SpelledPitch written, const Transposition& t) {
  const int steps = written.staff_step() + t.diatonic + 7 * t.octave_change;
  SpelledPitch pitch;
  pitch.octave = (steps >= 0 ? steps : steps - 6) / 7;
  pitch.step = static_cast<Step>(steps - 7 * pitch.octave);
  pitch.alter = written.midi() + t.semitones() - pitch.midi();
  return pitch;
}

}  // namespace endpin
