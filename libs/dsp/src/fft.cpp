#include "endpin/dsp/fft.h"

#include <cassert>
#include <cmath>
#include <numbers>

namespace endpin {

RealFft::RealFft(std::size_t size)
    : half_(size / 2), re_(half_), im_(half_), other_re_(half_), other_im_(half_) {
  assert(size >= 8 && (size & (size - 1)) == 0);
  for (std::size_t length = half_; length >= 4; length /= 4) {
    for (int power = 1; power <= 3; ++power) {
      for (const bool sine : {false, true}) {
        for (std::size_t p = 0; p < length / 4; ++p) {
          const double angle =
              -2 * std::numbers::pi * power * static_cast<double>(p) / static_cast<double>(length);
          twiddles_.push_back(static_cast<float>(sine ? std::sin(angle) : std::cos(angle)));
        }
      }
    }
  }
  for (std::size_t k = 0; k <= half_; ++k) {
    const double angle = -std::numbers::pi * static_cast<double>(k) / static_cast<double>(half_);
    split_cos_.push_back(static_cast<float>(std::cos(angle)));
    split_sin_.push_back(static_cast<float>(std::sin(angle)));
  }
}

void RealFft::radix4(std::size_t length, std::size_t stride, const float* twiddles) {
  const std::size_t m = length / 4;
  const float* __restrict xr = re_.data();
  const float* __restrict xi = im_.data();
  float* __restrict yr = other_re_.data();
  float* __restrict yi = other_im_.data();
  for (std::size_t p = 0; p < m; ++p) {
    const float c1 = twiddles[p], s1 = twiddles[m + p], c2 = twiddles[2 * m + p],
                s2 = twiddles[3 * m + p], c3 = twiddles[4 * m + p], s3 = twiddles[5 * m + p];
    const std::size_t in = stride * p, step = stride * m, out = 4 * stride * p;
    for (std::size_t q = 0; q < stride; ++q) {
      const std::size_t i = in + q, o = out + q;
      const float ar = xr[i], ai = xi[i], br = xr[i + step], bi = xi[i + step];
      const float cr = xr[i + 2 * step], ci = xi[i + 2 * step];
      const float dr = xr[i + 3 * step], di = xi[i + 3 * step];
      const float pr = ar + cr, pi = ai + ci, mr = ar - cr, mi = ai - ci;
      const float qr = br + dr, qi = bi + di, nr = br - dr, ni = bi - di;
      const float ur = mr + ni, ui = mi - nr, vr = pr - qr, vi = pi - qi;
      const float wr = mr - ni, wi = mi + nr;
      yr[o] = pr + qr, yi[o] = pi + qi;
      yr[o + stride] = ur * c1 - ui * s1, yi[o + stride] = ur * s1 + ui * c1;
      yr[o + 2 * stride] = vr * c2 - vi * s2, yi[o + 2 * stride] = vr * s2 + vi * c2;
      yr[o + 3 * stride] = wr * c3 - wi * s3, yi[o + 3 * stride] = wr * s3 + wi * c3;
    }
  }
  re_.swap(other_re_);
  im_.swap(other_im_);
}

void RealFft::radix2(std::size_t stride) {
  for (std::size_t q = 0; q < stride; ++q) {
    const float ar = re_[q], ai = im_[q], br = re_[q + stride], bi = im_[q + stride];
    re_[q] = ar + br, im_[q] = ai + bi;
    re_[q + stride] = ar - br, im_[q + stride] = ai - bi;
  }
}

void RealFft::complex_transform() {
  const float* twiddles = twiddles_.data();
  std::size_t length = half_, stride = 1;
  for (; length >= 4; length /= 4, stride *= 4) {
    radix4(length, stride, twiddles);
    twiddles += 6 * (length / 4);
  }
  if (length == 2) radix2(stride);
}

template <typename F>
void RealFft::split(std::span<const float> samples, F&& take) {
  for (std::size_t i = 0; i < half_; ++i) {
    re_[i] = samples[2 * i];
    im_[i] = samples[2 * i + 1];
  }
  complex_transform();
  take(0, re_[0] + im_[0], 0.0F);
  take(half_, re_[0] - im_[0], 0.0F);
  for (std::size_t k = 1; k < half_; ++k) {
    const std::size_t mirror = half_ - k;
    const float even_r = 0.5F * (re_[k] + re_[mirror]), even_i = 0.5F * (im_[k] - im_[mirror]);
    const float odd_r = 0.5F * (im_[k] + im_[mirror]), odd_i = 0.5F * (re_[mirror] - re_[k]);
    take(k, even_r + split_cos_[k] * odd_r - split_sin_[k] * odd_i,
         even_i + split_cos_[k] * odd_i + split_sin_[k] * odd_r);
  }
}

void RealFft::transform(std::span<const float> samples, std::span<float> real,
                        std::span<float> imaginary) {
  assert(samples.size() == size() && real.size() == bins() && imaginary.size() == bins());
  split(samples, [&](std::size_t k, float re, float im) { real[k] = re, imaginary[k] = im; });
}

void RealFft::power(std::span<const float> samples, std::span<float> power) {
  assert(samples.size() == size() && power.size() == bins());
  split(samples, [&](std::size_t k, float re, float im) { power[k] = re * re + im * im; });
}

}  // namespace endpin
