#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "endpin/dsp/onset_strength.h"
#include "endpin/listen/listen.h"

/// What is taken out of a recording once, whatever the score: onset strength on a fine grid, and
/// partials on a grid of twice the step. Everything after works on these, not on samples. Frame i
/// of either stands for the time i · step (the middle of its window).
namespace endpin::listen {

/// A partial, small: an hour of sound has fifteen million of them.
struct SmallPartial {
  std::uint16_t place;   ///< 1/640 semitones above MIDI 20, see `partial_midi`
  std::uint8_t weight;   ///< 255: as strong as the strongest of its frame, compressed
  std::uint8_t clarity;  ///< dB above its surroundings, at most 60
  std::uint8_t played;   ///< as `weight`, less what is only dying away: see Fading
};

inline double partial_midi(SmallPartial p) { return 20 + static_cast<double>(p.place) / 640.0; }

struct SoundFeatures {
  double step_s = 0.005;  ///< of `onset`
  std::vector<OnsetFrame> onset;
  std::vector<float> onset_evidence;  ///< [onset frame], see onset_evidence.h
  std::vector<SmallPartial> partials;
  /// [pitch frame]: power of the strongest partial to the sixth root; what a weight of 255 stands
  /// for, and the same of those that are played.
  std::vector<float> strongest, strongest_played;
  std::vector<std::uint32_t> first_partial;  ///< [pitch frame], one more at the end

  double pitch_step_s() const { return 2 * step_s; }
  std::size_t pitch_frames() const { return first_partial.empty() ? 0 : first_partial.size() - 1; }
  std::span<const SmallPartial> partials_at(std::size_t frame) const {
    return std::span(partials).subspan(first_partial[frame],
                                       first_partial[frame + 1] - first_partial[frame]);
  }
  /// The largest onset evidence between two times.
  double strongest_onset(double from_s, double to_s) const;
  double seconds() const { return static_cast<double>(onset.size()) * step_s; }
};

struct FeatureOptions {
  bool low_notes = false;  ///< notes below G3 are expected: a second, longer window below 350 Hz
  double longest_period_s = 0;  ///< of the notes that are expected; 0: not known
};

/// O(length); reads the recording in place. `progress` as in listen.h.
SoundFeatures sound_features(AudioView recording, const FeatureOptions& options,
                             const Progress& progress);

}  // namespace endpin::listen
