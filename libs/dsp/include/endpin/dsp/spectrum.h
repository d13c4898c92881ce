#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "endpin/dsp/fft.h"

namespace endpin {

/// Natural logarithm to 1e-4 of positive finite floats, branch-free: the loops over bins vectorise.
inline float fast_log(float x) {
  // The exponent apart (the browser's library has no std::bit_cast); the mantissa by the odd series
  // of 2·atanh((m−√2)/(m+√2)).
  const auto bits = __builtin_bit_cast(std::uint32_t, x);
  const auto exponent = static_cast<std::int32_t>(bits >> 23) - 127;
  const float m = __builtin_bit_cast(float, (bits & 0x007FFFFFU) | 0x3F800000U);
  const float y = (m - 1.41421356F) / (m + 1.41421356F), y2 = y * y;
  const float series = y * (2.0F + y2 * (0.66666667F + y2 * 0.4F));
  return static_cast<float>(exponent) * 0.69314718F + 0.34657359F + series;
}
/// Decibels of a power for one of its natural logarithm.
inline constexpr float decibels_per_power_neper = 4.3429448F;
/// x^(1/6) of x ≥ 0 from the same approximation, to 0.1 %.
float sixth_root(float x);

/// Power spectra of Hann-windowed stretches of sound, zero-padded at least to twice their length.
/// The window's sum is normalised so that a sine of amplitude 1 has a peak power of 1.
class Spectrum {
 public:
  Spectrum(double window_s, double rate_hz);

  std::size_t window() const { return window_.size(); }  ///< samples
  std::size_t bins() const { return fft_.bins(); }
  double bin_hz() const { return bin_hz_; }
  /// `samples` holds window() values; the result stays valid until the next call.
  std::span<const float> power(std::span<const float> samples);

 private:
  std::vector<float> window_;
  RealFft fft_;
  double bin_hz_;
  std::vector<float> padded_, power_;
};

/// A partial: a local maximum of a spectrum.
struct Partial {
  float hz = 0;
  float power = 0;       ///< of a sine of that amplitude
  float prominence = 0;  ///< dB above the mean of its surroundings (of the logarithm, ±`around`)
};

/// Finds the partials of a power spectrum between two frequencies by a parabola through the
/// logarithm of three bins (Smith & Serra 1987): to about 1 cent above 100 Hz for steady tones.
class PartialFinder {
 public:
  /// REQUIRES: 0 < from_hz < to_hz.
  PartialFinder(double bin_hz, std::size_t bins, double from_hz, double to_hz);
  /// Appends what it finds, ascending by frequency.
  void find(std::span<const float> power, std::vector<Partial>& out);

 private:
  void add_up(std::size_t low, std::size_t high);
  /// Fills `tops_` with the bins that stand above their neighbours; how many.
  std::size_t find_tops(std::size_t from);

  double bin_hz_;
  std::size_t first_, last_, around_;
  std::vector<float> logs_;
  std::vector<double> sums_;
  std::vector<std::uint32_t> tops_;
};

}  // namespace endpin
