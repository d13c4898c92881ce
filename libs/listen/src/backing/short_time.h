#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "backing/sound_reader.h"
#include "backing/two_way_fft.h"

namespace endpin::listen {

/// Short-time spectra of a sound, changed and put together again: Hann windows of 2048 samples, a
/// quarter apart, before and after, whose squares add up to 1.5 (Griffin & Lim 1984).
class ShortTime {
 public:
  static constexpr std::size_t window = 2048, hop = window / 4, bins = window / 2 + 1;

  ShortTime();

  /// The spectrum of `sound` around sample `centre`, as real and imaginary parts of `bins` values
  /// each.
  void spectrum(const SoundReader& sound, std::int64_t centre);
  std::span<float> real() { return real_; }
  std::span<float> imaginary() { return imaginary_; }
  /// Adds the sound of the spectrum, windowed once more, around `centre` of `out`.
  void add_to(std::span<float> out, std::int64_t centre);

 private:
  TwoWayFft fft_;
  std::vector<float> shape_, samples_, real_, imaginary_;
};

}  // namespace endpin::listen
