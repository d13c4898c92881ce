#include "backing/two_way_fft.h"

#include <cmath>
#include <numbers>

namespace endpin::listen {

std::vector<float> hann_window(std::size_t size) {
  std::vector<float> shape(size);
  const double step = 2 * std::numbers::pi / static_cast<double>(size);
  for (std::size_t i = 0; i < size; ++i) {
    shape[i] = static_cast<float>(0.5 - 0.5 * std::cos(step * static_cast<double>(i)));
  }
  return shape;
}

TwoWayFft::TwoWayFft(std::size_t size) : fft_(size), real_(fft_.bins()), imaginary_(fft_.bins()) {}

void TwoWayFft::forward(std::span<const float> samples, std::span<float> real,
                        std::span<float> imaginary) {
  fft_.transform(samples, real, imaginary);
}

void TwoWayFft::inverse(std::span<const float> real, std::span<const float> imaginary,
                        std::span<float> samples) {
  const std::size_t last = bins() - 1;
  for (std::size_t k = 0; k <= last; ++k) samples[k] = real[k] - imaginary[k];
  for (std::size_t k = 1; k < last; ++k) samples[size() - k] = real[k] + imaginary[k];
  fft_.transform(samples, real_, imaginary_);
  const float scale = 1.0F / static_cast<float>(size());
  for (std::size_t k = 0; k <= last; ++k) samples[k] = scale * (real_[k] - imaginary_[k]);
  for (std::size_t k = 1; k < last; ++k) {
    samples[size() - k] = scale * (real_[k] + imaginary_[k]);
  }
}

}  // namespace endpin::listen
