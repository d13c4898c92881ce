#include "endpin/dsp/fft.h"

#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

#include "four.h"

namespace endpin {
namespace {

struct Parts {
  float *re, *im;
};
template <typename Values>
struct Twiddles {
  Values c1, s1, c2, s2, c3, s3;
};

// Takes values `step` apart of x from `i` on, puts values `stride` apart into y from `o` on.
template <typename Values, typename Factors>
void butterfly(const Parts& x, std::size_t i, std::size_t step, const Parts& y, std::size_t o,
               std::size_t stride, const Twiddles<Factors>& w) {
  const auto ar = load<Values>(x.re + i), ai = load<Values>(x.im + i);
  const auto br = load<Values>(x.re + i + step), bi = load<Values>(x.im + i + step);
  const auto cr = load<Values>(x.re + i + 2 * step), ci = load<Values>(x.im + i + 2 * step);
  const auto dr = load<Values>(x.re + i + 3 * step), di = load<Values>(x.im + i + 3 * step);
  const Values pr = ar + cr, pi = ai + ci, mr = ar - cr, mi = ai - ci;
  const Values qr = br + dr, qi = bi + di, nr = br - dr, ni = bi - di;
  const Values ur = mr + ni, ui = mi - nr, vr = pr - qr, vi = pi - qi;
  const Values wr = mr - ni, wi = mi + nr;
  store<Values>(y.re + o, pr + qr), store<Values>(y.im + o, pi + qi);
  store<Values>(y.re + o + stride, ur * w.c1 - ui * w.s1);
  store<Values>(y.im + o + stride, ur * w.s1 + ui * w.c1);
  store<Values>(y.re + o + 2 * stride, vr * w.c2 - vi * w.s2);
  store<Values>(y.im + o + 2 * stride, vr * w.s2 + vi * w.c2);
  store<Values>(y.re + o + 3 * stride, wr * w.c3 - wi * w.s3);
  store<Values>(y.im + o + 3 * stride, wr * w.s3 + wi * w.c3);
}

// Four rows of four as four columns.
void store_turned(const std::array<float, 16>& rows, float* to) {
  const Four a = load<Four>(rows.data()), b = load<Four>(rows.data() + 4);
  const Four c = load<Four>(rows.data() + 8), d = load<Four>(rows.data() + 12);
  const Four ab_low = __builtin_shufflevector(a, b, 0, 4, 1, 5);
  const Four ab_high = __builtin_shufflevector(a, b, 2, 6, 3, 7);
  const Four cd_low = __builtin_shufflevector(c, d, 0, 4, 1, 5);
  const Four cd_high = __builtin_shufflevector(c, d, 2, 6, 3, 7);
  store<Four>(to, __builtin_shufflevector(ab_low, cd_low, 0, 1, 4, 5));
  store<Four>(to + 4, __builtin_shufflevector(ab_low, cd_low, 2, 3, 6, 7));
  store<Four>(to + 8, __builtin_shufflevector(ab_high, cd_high, 0, 1, 4, 5));
  store<Four>(to + 12, __builtin_shufflevector(ab_high, cd_high, 2, 3, 6, 7));
}

}  // namespace

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

// The first stage: every value has its own twiddles, four neighbours of the result lie where one
// butterfly ends. Four butterflies are reckoned side by side and their results turned about.
void RealFft::first_radix4(const float* twiddles) {
  const std::size_t m = half_ / 4;
  const Parts x{re_.data(), im_.data()};
  std::array<float, 16> re, im;
  const Parts y{re.data(), im.data()};
  for (std::size_t p = 0; p < m; p += 4) {
    const auto w = [&](std::size_t i) { return load<Four>(twiddles + i * m + p); };
    butterfly<Four>(x, p, m, y, 0, 4, Twiddles<Four>{w(0), w(1), w(2), w(3), w(4), w(5)});
    store_turned(re, other_re_.data() + 4 * p);
    store_turned(im, other_im_.data() + 4 * p);
  }
  re_.swap(other_re_);
  im_.swap(other_im_);
}

void RealFft::radix4(std::size_t length, std::size_t stride, const float* twiddles) {
  const std::size_t m = length / 4;
  const Parts x{re_.data(), im_.data()}, y{other_re_.data(), other_im_.data()};
  for (std::size_t p = 0; p < m; ++p) {
    const Twiddles<float> w{twiddles[p],         twiddles[m + p],     twiddles[2 * m + p],
                            twiddles[3 * m + p], twiddles[4 * m + p], twiddles[5 * m + p]};
    const std::size_t from = stride * p, to = 4 * from;
    if (stride == 1) {
      butterfly<float>(x, from, m, y, to, 1, w);
      continue;
    }
    for (std::size_t q = 0; q < stride; q += 4) {
      butterfly<Four>(x, from + q, stride * m, y, to + q, stride, w);
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
    if (stride == 1 && length >= 16) {
      first_radix4(twiddles);
    } else {
      radix4(length, stride, twiddles);
    }
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
