#include "backing/short_time.h"

#include <cmath>
#include <numbers>

namespace endpin::listen {

ShortTime::ShortTime()
    : fft_(window),
      shape_(window),
      samples_(window),
      real_(bins),
      imaginary_(bins),
      hartley_real_(bins),
      hartley_imaginary_(bins) {
  for (std::size_t i = 0; i < window; ++i) {
    const double turn = 2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(window);
    shape_[i] = static_cast<float>(0.5 - 0.5 * std::cos(turn));
  }
}

void ShortTime::spectrum(const DecimatedSound& sound, std::int64_t centre) {
  sound.read(centre - static_cast<std::int64_t>(window / 2), samples_);
  for (std::size_t i = 0; i < window; ++i) samples_[i] *= shape_[i];
  fft_.transform(samples_, real_, imaginary_);
}

// By the discrete Hartley transform, which is its own inverse (Bracewell 1983): the forward
// transform of Re − Im gives the sound.
void ShortTime::inverse() {
  for (std::size_t k = 0; k < bins; ++k) samples_[k] = real_[k] - imaginary_[k];
  for (std::size_t k = 1; k + 1 < bins; ++k) samples_[window - k] = real_[k] + imaginary_[k];
  fft_.transform(samples_, hartley_real_, hartley_imaginary_);
  const float scale = 1.0F / static_cast<float>(window);
  for (std::size_t k = 0; k < bins; ++k) {
    samples_[k] = scale * (hartley_real_[k] - hartley_imaginary_[k]);
  }
  for (std::size_t k = 1; k + 1 < bins; ++k) {
    samples_[window - k] = scale * (hartley_real_[k] + hartley_imaginary_[k]);
  }
}

void ShortTime::add_to(std::span<float> out, std::int64_t centre) {
  inverse();
  constexpr float squares_sum = 1.5F;
  const std::int64_t from = centre - static_cast<std::int64_t>(window / 2);
  for (std::size_t i = 0; i < window; ++i) {
    const std::int64_t at = from + static_cast<std::int64_t>(i);
    if (at < 0 || at >= static_cast<std::int64_t>(out.size())) continue;
    out[static_cast<std::size_t>(at)] += samples_[i] * shape_[i] / squares_sum;
  }
}

}  // namespace endpin::listen
