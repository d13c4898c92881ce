#include "harmony.h"

#include <algorithm>

namespace endpin {
namespace {

struct Candidate {
  int degree;
  double liking;  // ours: what a class knows first
};
constexpr std::array<Candidate, 5> candidates{{{0, 0.6}, {4, 0.4}, {3, 0.3}, {1, 0.0}, {5, 0.0}}};
constexpr double at_the_end = 2;

// In minor the dominant has its leading note.
Triad triad_on(const ScaleKey& key, int degree) {
  Triad triad;
  triad.degree = degree;
  const SpelledPitch tonic = key.tonic(4);
  for (std::size_t i = 0; i < 3; ++i) {
    const bool leading = key.minor && degree == 4 && i == 1;
    triad.notes[i] = key.above(tonic, degree + 2 * static_cast<int>(i), leading);
  }
  return triad;
}

double covered(const Phrase& bar, const Triad& triad) {
  double sum = 0;
  Beats at;
  for (const LineNote& note : bar) {
    const double weight = note.duration.to_double() * (at == Beats(0) ? 1.5 : 1);
    if (note.pitch) sum += triad.holds(*note.pitch) ? weight : -0.7 * weight;
    at += note.duration;
  }
  return sum;
}

}  // namespace

bool same_class(SpelledPitch a, SpelledPitch b) { return (a.midi() - b.midi()) % 12 == 0; }

bool Triad::holds(SpelledPitch pitch) const {
  return std::any_of(notes.begin(), notes.end(),
                     [&](SpelledPitch note) { return same_class(note, pitch); });
}

std::vector<Triad> harmony(const std::vector<Phrase>& bars, const ScaleKey& key) {
  std::vector<Triad> chosen;
  for (std::size_t i = 0; i < bars.size(); ++i) {
    Triad best;
    double most = -1e9;
    for (const Candidate& candidate : candidates) {
      const Triad triad = triad_on(key, candidate.degree);
      double value = covered(bars[i], triad) + candidate.liking;
      if (i + 1 == bars.size() && candidate.degree == 0) value += at_the_end;
      if (value > most) {
        most = value;
        best = triad;
      }
    }
    chosen.push_back(best);
  }
  return chosen;
}

}  // namespace endpin
