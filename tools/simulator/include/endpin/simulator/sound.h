#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "endpin/base/audio.h"
#include "endpin/simulator/performance.h"
#include "endpin/simulator/random.h"

namespace endpin::simulator {

struct StrokeNote {
  double from_s = 0;
  double to_s = 0;
  double hz = 440;
  double level = 1;  ///< linear
  PlayedVibrato vibrato;
  double scratch = 0;
  double glide_s = 0.036;
  double turn_db = 0;
  double swell_db = 0;
};

/// What the bow makes without leaving silence: its notes hang together in one tone whose pitch
/// glides.
struct Stroke {
  std::vector<StrokeNote> notes;
  double attack_s = 0.03;
  bool plucked = false;
  bool rings = false;     ///< ends on an open string, which rings on
  double damped_s = 1e9;  ///< when the next note on that string stops the ringing
  double bow_noise_db = -38;
};
std::vector<Stroke> strokes_of(const Performance& performance);

/// Pitch and level of a stroke at any time: glides around the middle between two notes of a slur,
/// vibrato about the mean, the attack and the release of the bow, dips where it turns.
class StrokeShape {
 public:
  StrokeShape(const Stroke& stroke, Random random);
  double begin_s() const;  ///< before it nothing sounds
  double end_s() const;    ///< after it nothing sounds
  double hz(double t) const;
  /// 0…1, times the notes' level: what the bow gives, then what rings on.
  double level(double t) const;
  double bow(double t) const;      ///< 0…1: how far the bow is moving, for its noise
  double scratch(double t) const;  ///< 0…1

 private:
  std::size_t note_at(double t) const;
  double turning(std::size_t note, double t) const;
  double swell(std::size_t note, double t) const;
  const Stroke& stroke_;
  std::vector<double> wobble_;  // cents, one each 20 ms
};

/// Makes the tone of strokes. Thread-safe.
class Sound {
 public:
  virtual ~Sound() = default;
  /// Adds the stroke to `out`, which is long enough.
  virtual void add(const Stroke& stroke, Random random, Audio& out) const = 0;
};

/// Harmonics with a body's formants, a soft attack and bow noise: needs no files. `voice` shifts
/// formants and slope, so that one voice can be kept for tests and another for fitting.
std::unique_ptr<Sound> synthetic_string(const std::string& instrument, int voice);

/// The performance as sound, peak at 0.5. `instrument` tells the open strings that ring along.
Audio render(const Performance& performance, const Sound& sound, const std::string& instrument,
             std::uint64_t seed, int rate = 44100);

}  // namespace endpin::simulator
