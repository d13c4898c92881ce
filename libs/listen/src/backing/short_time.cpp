#include "backing/short_time.h"

namespace endpin::listen {

ShortTime::ShortTime()
    : fft_(window), shape_(hann_window(window)), samples_(window), real_(bins), imaginary_(bins) {}

void ShortTime::spectrum(const SoundReader& sound, std::int64_t centre) {
  sound(centre - static_cast<std::int64_t>(window / 2), samples_);
  for (std::size_t i = 0; i < window; ++i) samples_[i] *= shape_[i];
  fft_.forward(samples_, real_, imaginary_);
}

void ShortTime::add_to(std::span<float> out, std::int64_t centre) {
  fft_.inverse(real_, imaginary_, samples_);
  constexpr float squares_sum = 1.5F;
  const std::int64_t from = centre - static_cast<std::int64_t>(window / 2);
  for (std::size_t i = 0; i < window; ++i) {
    const std::int64_t at = from + static_cast<std::int64_t>(i);
    if (at < 0 || at >= static_cast<std::int64_t>(out.size())) continue;
    out[static_cast<std::size_t>(at)] += samples_[i] * shape_[i] / squares_sum;
  }
}

}  // namespace endpin::listen
