#pragma once

#include <span>
#include <vector>

#include "backing/two_way_fft.h"

namespace endpin::listen {

/// The impulse response h that, of those which are 0 outside of some samples, best turns one sound
/// into another: Σ power[k] |H[k] − cross[k] / power[k]|² + mean(power) Σ ridge[i] h[i]² is least.
/// By conjugate gradients, preconditioned with 1 / power (Hestenes & Stiefel 1952; Chan & Ng 1996
/// for the circulant): each step goes on from what is there.
class ImpulseResponse {
 public:
  /// `ridge`, a value for each sample of `fft`'s size: below 0 where h is 0.
  ImpulseResponse(TwoWayFft& fft, std::vector<float> ridge);

  /// REQUIRES: a value for each of the fft's bins.
  void improve(std::span<const float> cross_real, std::span<const float> cross_imaginary,
               std::span<const float> power);
  /// h, a value for each of the fft's samples, those before 0 at the end.
  const std::vector<float>& samples() const { return h_; }
  /// Of h, a value for each bin.
  const std::vector<float>& real() const { return real_; }
  const std::vector<float>& imaginary() const { return imaginary_; }

 private:
  void apply(std::span<const float> power, const std::vector<float>& h);
  double precondition(std::span<const float> power);
  void step(std::span<const float> power);

  TwoWayFft* fft_;
  std::vector<float> ridge_;
  std::vector<float> h_, residual_, conditioned_, towards_, product_;  // [sample]
  std::vector<float> real_, imaginary_, own_real_, own_imaginary_;     // [bin]
  float mean_ = 0;
  double size_ = 0;
};

}  // namespace endpin::listen
