#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace endpin {

/// Fourier transform of real samples whose count is a power of two: an autosorting (Stockham)
/// radix-4 complex transform of half the length, with real and imaginary parts apart so that the
/// compiler vectorises it the same way in every build (Van Loan 1992, Computational Frameworks for
/// the Fast Fourier Transform, §1.7; the real split is §4.3). O(n log n), no allocation after
/// construction; one object for one thread at a time.
class RealFft {
 public:
  /// REQUIRES: `size` a power of two, at least 8.
  explicit RealFft(std::size_t size);

  std::size_t size() const { return 2 * half_; }
  std::size_t bins() const { return half_ + 1; }

  /// X[k] = Σ x[n] e^(−2πikn/size), k = 0 … size/2, unscaled.
  /// REQUIRES: `samples` holds size() values, `real` and `imaginary` bins() each.
  void transform(std::span<const float> samples, std::span<float> real, std::span<float> imaginary);
  /// |X[k]|². REQUIRES: as above.
  void power(std::span<const float> samples, std::span<float> power);

 private:
  template <typename F>
  void split(std::span<const float> samples, F&& take);
  void complex_transform();
  void first_radix4(const float* twiddles);
  void radix4(std::size_t length, std::size_t stride, const float* twiddles);
  void radix2(std::size_t stride);

  std::size_t half_;
  std::vector<float> twiddles_;  // per radix-4 stage: cos, sin of w, w², w³, each length/4
  std::vector<float> split_cos_, split_sin_;
  std::vector<float> re_, im_, other_re_, other_im_;
};

}  // namespace endpin
