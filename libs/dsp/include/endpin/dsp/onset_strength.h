#pragma once

#include <span>
#include <vector>

#include "endpin/dsp/fft.h"

namespace endpin {

/// What one short stretch of sound says about a beginning.
struct OnsetFrame {
  float flux_db = 0;    ///< mean rise over the bands
  float level_db = 0;   ///< of the whole, dBFS (a sine of amplitude 1 is 0)
  float bright_db = 0;  ///< of what lies above 3 kHz
};

/// Spectral flux of logarithmic bands against the widest of three neighbouring bands two frames
/// before, which a vibrato does not trip (Böck & Widmer 2013, "Maximum filter vibrato suppression
/// for onset detection", eq. 1–4). Causal but for half its window. Allocates nothing after
/// construction.
class OnsetStrength {
 public:
  static constexpr double window_s = 0.0213;

  /// `longest_period_s`: of the tones that are expected. Where the window holds hardly more than
  /// one, its content swells and sinks with each pulse of the string: a rise is then what rises
  /// above all of the period before. `step_s`: between two calls of next.
  explicit OnsetStrength(double rate_hz, double longest_period_s = 0, double step_s = 0.005);
  /// Whether the window holds so few periods that its content swells with each pulse.
  static bool pulses(double period_s);
  std::size_t window() const { return window_.size(); }  ///< samples
  /// `samples`: window() values around the frame's time; call in the order of frames.
  OnsetFrame next(std::span<const float> samples);
  void reset();

 private:
  struct Band {
    std::size_t from, to;  // bins
    float scale;
  };
  void measure_bands();
  void find_reference();

  std::vector<float> window_;
  RealFft fft_;
  std::vector<float> padded_, power_, now_, reference_;
  std::vector<float> past_;  ///< [frame modulo kept_][band]: the last frames, in decibels
  int kept_ = 2;
  std::vector<Band> bands_;
  std::size_t first_bright_band_ = 0;
  float level_scale_ = 1;
  float loudest_ = 0;
  int frames_ = 0;
};

}  // namespace endpin
