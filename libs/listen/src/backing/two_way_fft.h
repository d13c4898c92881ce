#pragma once

#include <span>
#include <vector>

#include "endpin/dsp/fft.h"

namespace endpin::listen {

/// A periodic Hann window.
std::vector<float> hann_window(std::size_t size);

/// A Fourier transform of real samples and its inverse, by the discrete Hartley transform, which is
/// its own inverse (Bracewell 1983): the forward transform of Re − Im gives the sound.
class TwoWayFft {
 public:
  explicit TwoWayFft(std::size_t size);

  std::size_t size() const { return fft_.size(); }
  std::size_t bins() const { return fft_.bins(); }
  /// REQUIRES: `samples` holds size() values, `real` and `imaginary` bins() each; so for inverse().
  void forward(std::span<const float> samples, std::span<float> real, std::span<float> imaginary);
  /// `samples` must not overlap the other two.
  void inverse(std::span<const float> real, std::span<const float> imaginary,
               std::span<float> samples);

 private:
  RealFft fft_;
  std::vector<float> real_, imaginary_;
};

}  // namespace endpin::listen
