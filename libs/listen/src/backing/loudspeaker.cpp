#include "backing/loudspeaker.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "backing/impulse_response.h"
#include "backing/two_way_fft.h"

namespace endpin::listen {
namespace {

// Ours, chosen on simulated takes (voices below 100).
constexpr std::size_t window = 16384, hop = window / 2, bins = window / 2 + 1;
constexpr std::size_t most_frames = 400;
constexpr std::size_t length = 6144;   // samples of the filter: some 0.2 s
constexpr std::size_t lead = 1536;     // of them before the beginning that was found
constexpr std::int64_t centre = 1024;  // the filter's middle, about: the frames lie that much apart
constexpr int rounds = 4;
constexpr std::size_t beside = 2;     // bins to each side whose errors are weighed together
constexpr float floor_share = 1e-6F;  // of a bin's mean power: below, every error is alike
// Of the mean power: how little an early sample and one at the end are believed; echoes decay.
constexpr double least_ridge = 1e-4, late_ridge = 1e-1;

// Of each sample of the filter, which begins `lead` and the frames' distance before the window's.
std::vector<float> ridge() {
  std::vector<float> r(window, -1.0F);
  for (std::size_t i = 0; i < length; ++i) {
    const double late = i > lead ? static_cast<double>(i - lead) / length : 0;
    r[(i + window - lead - static_cast<std::size_t>(centre)) % window] =
        static_cast<float>(least_ridge * std::pow(late_ridge / least_ridge, late));
  }
  return r;
}

std::size_t inside(std::int64_t at, std::size_t size) {
  return static_cast<std::size_t>(std::clamp<std::int64_t>(at, 0, static_cast<std::int64_t>(size)));
}

// Samples from `from` on; outside: 0.
void read(std::span<const float> sound, std::int64_t from, std::span<float> out) {
  std::fill(out.begin(), out.end(), 0.0F);
  const std::size_t first = inside(from, sound.size());
  const std::size_t last = inside(from + std::ssize(out), sound.size());
  if (first < last) {
    std::copy(sound.begin() + static_cast<std::ptrdiff_t>(first),
              sound.begin() + static_cast<std::ptrdiff_t>(last),
              out.begin() + static_cast<std::ptrdiff_t>(first) - from);
  }
}

struct Cells {
  std::vector<float> real, imaginary;  // [frame][bin]
};

class Way {
 public:
  Way(std::span<const float> recording, std::span<const float> backing)
      : recording_(recording),
        backing_(backing),
        fft_(window),
        shape_(hann_window(window)),
        samples_(window),
        floor_(bins, 1e-20F),
        response_(fft_, ridge()) {}

  std::vector<float> run() {
    measure();
    if (frames_ == 0) return std::vector<float>(recording_.size());
    for (int round = 0; round < rounds; ++round) fit();
    return filtered();
  }

 private:
  void spectrum(std::span<const float> sound, std::int64_t from, Cells& into) {
    read(sound, from, samples_);
    for (std::size_t i = 0; i < window; ++i) samples_[i] *= shape_[i];
    const std::size_t at = into.real.size();
    into.real.resize(at + bins), into.imaginary.resize(at + bins);
    fft_.forward(samples_, std::span(into.real).subspan(at), std::span(into.imaginary).subspan(at));
  }

  void measure() {
    const std::size_t all = recording_.size() / hop;
    const std::size_t every = all / most_frames + 1;
    for (std::size_t f = 0; f < all; f += every) {
      const auto from = static_cast<std::int64_t>(f * hop) - static_cast<std::int64_t>(hop / 2);
      const std::size_t first = inside(from, backing_.size());
      const std::size_t last = inside(from + static_cast<std::int64_t>(window), backing_.size());
      double power = 0;
      for (std::size_t i = first; i < last; ++i) {
        power += static_cast<double>(backing_[i]) * static_cast<double>(backing_[i]);
      }
      if (power <= 0) continue;
      spectrum(backing_, from, b_);
      spectrum(recording_, from + centre, x_);
      ++frames_;
    }
    for (std::size_t i = 0; i < x_.real.size(); ++i) {
      floor_[i % bins] += floor_share / static_cast<float>(frames_) *
                          (x_.real[i] * x_.real[i] + x_.imaginary[i] * x_.imaginary[i]);
    }
  }

  void fit() {
    std::vector<float> re(bins), im(bins), power(bins), error(bins);
    for (std::size_t f = 0; f < frames_; ++f) {
      const float* br = b_.real.data() + f * bins;
      const float* bi = b_.imaginary.data() + f * bins;
      const float* xr = x_.real.data() + f * bins;
      const float* xi = x_.imaginary.data() + f * bins;
      const float* hr = response_.real().data();
      const float* hi = response_.imaginary().data();
      for (std::size_t k = 0; k < bins; ++k) {
        const float er = xr[k] - hr[k] * br[k] + hi[k] * bi[k];
        const float ei = xi[k] - hr[k] * bi[k] - hi[k] * br[k];
        error[k] = er * er + ei * ei + floor_[k];
      }
      for (std::size_t k = beside; k + beside < bins; ++k) {
        float around = 0;
        for (std::size_t d = 0; d <= 2 * beside; ++d) around += error[k + d - beside];
        const float weight = 1 / around;
        re[k] += weight * (xr[k] * br[k] + xi[k] * bi[k]);
        im[k] += weight * (xi[k] * br[k] - xr[k] * bi[k]);
        power[k] += weight * (br[k] * br[k] + bi[k] * bi[k]);
      }
    }
    response_.improve(re, im, power);
  }

  // Overlap-save: the filter keeps the quarter of the window to each side of its middle.
  std::vector<float> filtered() {
    std::vector<float> re(bins), im(bins);
    std::vector<float> out(recording_.size());
    constexpr auto skip = static_cast<std::int64_t>(length - lead) - centre;
    for (std::int64_t at = 0; at < std::ssize(out); at += window / 2) {
      // out[at + i] = Σ h[j] b[at + i − centre − j], j from −lead − centre on: the last half of
      // what is read has no end of the window in it when moved there.
      read(backing_, at - centre - skip, samples_);
      fft_.forward(samples_, re, im);
      for (std::size_t k = 0; k < bins; ++k) {
        const float hr = response_.real()[k], hi = response_.imaginary()[k];
        const float r = re[k] * hr - im[k] * hi;
        im[k] = re[k] * hi + im[k] * hr;
        re[k] = r;
      }
      fft_.inverse(re, im, samples_);
      const auto count = std::min<std::int64_t>(window / 2, std::ssize(out) - at);
      std::copy_n(samples_.begin() + skip, count, out.begin() + static_cast<std::ptrdiff_t>(at));
    }
    return out;
  }

  std::span<const float> recording_, backing_;
  TwoWayFft fft_;
  std::vector<float> shape_, samples_;
  Cells b_, x_;
  std::size_t frames_ = 0;
  std::vector<float> floor_;  // [bin]
  ImpulseResponse response_;
};

}  // namespace

std::vector<float> arriving(std::span<const float> recording, std::span<const float> backing) {
  return Way(recording, backing).run();
}

}  // namespace endpin::listen
