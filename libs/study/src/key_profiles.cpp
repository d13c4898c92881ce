#include <cmath>
#include <utility>

#include "endpin/study/key.h"

namespace endpin {
namespace {

// Krumhansl & Kessler 1982, probe-tone ratings from the tonic upward.
constexpr PitchClasses krumhansl_major{6.35, 2.23, 3.48, 2.33, 4.38, 4.09,
                                       2.52, 5.19, 2.39, 3.66, 2.29, 2.88};
constexpr PitchClasses krumhansl_minor{6.33, 2.68, 3.52, 5.38, 2.60, 3.53,
                                       2.54, 4.75, 3.98, 2.69, 3.34, 3.17};
// Temperley's revision.
constexpr PitchClasses temperley_major{5, 2, 3.5, 2, 4.5, 4, 2, 4.5, 2, 3.5, 1.5, 4};
constexpr PitchClasses temperley_minor{5, 2, 3.5, 4.5, 2, 4, 2, 4.5, 3.5, 2, 1.5, 4};

const PitchClasses& profile_of(bool minor, Profile profile) {
  if (profile == Profile::krumhansl) return minor ? krumhansl_minor : krumhansl_major;
  return minor ? temperley_minor : temperley_major;
}

double mean(const PitchClasses& values) {
  double sum = 0;
  for (const double v : values) sum += v;
  return sum / 12;
}

double correlation(const PitchClasses& weights, int tonic, const PitchClasses& profile) {
  const double mean_w = mean(weights);
  const double mean_p = mean(profile);
  double product = 0;
  double square_w = 0;
  double square_p = 0;
  for (std::size_t degree = 0; degree < 12; ++degree) {
    const double w = weights[(static_cast<std::size_t>(tonic) + degree) % 12] - mean_w;
    const double p = profile[degree] - mean_p;
    product += w * p;
    square_w += w * w;
    square_p += p * p;
  }
  return square_w > 0 ? product / std::sqrt(square_w * square_p) : 0;
}

// What a mode lends from major or minor, its own degree in the other's place (ours: no profile of
// the modes was measured with listeners as those of major and minor were).
PitchClasses profile_of(Mode mode, Profile profile) {
  PitchClasses own = profile_of(is_minor(mode), profile);
  if (mode == Mode::dorian) std::swap(own[8], own[9]);
  if (mode == Mode::mixolydian) std::swap(own[10], own[11]);
  if (mode == Mode::lydian) std::swap(own[5], own[6]);
  if (mode == Mode::phrygian || mode == Mode::locrian) std::swap(own[1], own[2]);
  if (mode == Mode::locrian) std::swap(own[6], own[7]);
  return own;
}

}  // namespace

PitchClasses pitch_classes(const Timeline& timeline) {
  PitchClasses weights{};
  for (const TimelineNote& note : timeline.notes) {
    weights[static_cast<std::size_t>(note.midi % 12)] += note.duration.to_double();
  }
  return weights;
}

double profile_fit(const PitchClasses& weights, int tonic, bool minor, Profile which) {
  return correlation(weights, tonic, profile_of(minor, which));
}

double mode_fit(const PitchClasses& weights, int tonic, Mode mode, Profile which) {
  return correlation(weights, tonic, profile_of(mode, which));
}

}  // namespace endpin
