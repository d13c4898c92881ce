#include "backing/uncover.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "endpin/dsp/decimate.h"

#include "backing/short_time.h"

namespace endpin::listen {
namespace {

// Ours, from takes made by simulated players beside our own play-along.
constexpr double alone_quantile = 0.2;  // of the ratios: the player is silent there in one of five
constexpr float taken_out = 2.0F;       // 6 dB more than expected
constexpr float decay = 0.72F;          // of amplitude a hop: 60 dB in half a second
constexpr float strong_share = 0.1F;    // of a band's loudest: weaker cells are noise
constexpr std::size_t bands = 40;

std::size_t band_of(std::size_t bin) {
  // Six to an octave from the 8th bin (94 Hz at 24 kHz) on; below, one for all.
  if (bin < 8) return 0;
  const double octaves = std::log2(static_cast<double>(bin) / 8.0);
  return std::min(bands - 1, 1 + static_cast<std::size_t>(6 * octaves));
}

using Magnitudes = std::array<float, ShortTime::bins>;

class Uncovering {
 public:
  Uncovering(AudioView recording, AudioView backing, Seconds at)
      : recording_(recording.samples, recording.sample_rate_hz),
        backing_(backing.samples, backing.sample_rate_hz),
        at_s_(at.value()) {}

  Uncovered run() {
    find_gains();
    out_.sample_rate_hz = recording_.rate_hz();
    out_.step_s = static_cast<double>(ShortTime::hop) / recording_.rate_hz();
    out_.samples.assign(recording_.size(), 0.0F);
    Magnitudes expected{};
    double before = 0, after = 0;
    for (std::int64_t f = 0; centre(f) < end(); ++f) {
      expect(f, expected);
      short_time_.spectrum(recording_, centre(f));
      const auto [whole, rest] = take_out(expected);
      before += whole, after += rest;
      out_.covered.push_back(whole > 0 ? static_cast<float>(1 - rest / whole) : 0.0F);
      short_time_.add_to(out_.samples, centre(f));
    }
    out_.left = before > 0 ? after / before : 1;
    return std::move(out_);
  }

 private:
  static std::int64_t centre(std::int64_t frame) {
    return frame * static_cast<std::int64_t>(ShortTime::hop);
  }
  std::int64_t end() const { return static_cast<std::int64_t>(recording_.size()); }

  void magnitudes(const DecimatedSound& sound, std::int64_t centre, Magnitudes& into) {
    short_time_.spectrum(sound, centre);
    for (std::size_t k = 0; k < into.size(); ++k) {
      into[k] = std::hypot(short_time_.real()[k], short_time_.imaginary()[k]);
    }
  }

  // The backing's frame that sounds at a frame of the recording. Its rate may be another: bins are
  // then read where their frequency lies.
  void backing_at(std::int64_t frame, Magnitudes& into) {
    const double s = static_cast<double>(centre(frame)) / recording_.rate_hz() - at_s_;
    magnitudes(backing_, std::llround(s * backing_.rate_hz()), into);
    const double stretch = recording_.rate_hz() / backing_.rate_hz();
    if (std::abs(stretch - 1) < 1e-9) return;
    const Magnitudes own = into;
    for (std::size_t k = 0; k < into.size(); ++k) {
      const auto at = static_cast<std::size_t>(std::llround(static_cast<double>(k) * stretch));
      into[k] = at < own.size() ? own[at] : 0;
    }
  }

  void find_gains() {
    std::array<float, bands> loudest{};
    Magnitudes b{}, x{};
    for (std::int64_t f = 0; centre(f) < end(); f += 2) {
      backing_at(f, b);
      for (std::size_t k = 0; k < b.size(); ++k) {
        float& l = loudest[band_of(k)];
        l = std::max(l, b[k]);
      }
    }
    std::array<std::vector<float>, bands> ratios;
    for (std::int64_t f = 0; centre(f) < end(); f += 2) {
      backing_at(f, b);
      magnitudes(recording_, centre(f), x);
      for (std::size_t k = 0; k < b.size(); ++k) {
        const std::size_t band = band_of(k);
        if (b[k] > 0 && b[k] > strong_share * loudest[band]) ratios[band].push_back(x[k] / b[k]);
      }
    }
    for (std::size_t band = 0; band < bands; ++band) {
      auto& r = ratios[band];
      if (r.empty()) continue;
      const auto at = r.begin() + static_cast<std::ptrdiff_t>(alone_quantile *
                                                              static_cast<double>(r.size() - 1));
      std::nth_element(r.begin(), at, r.end());
      gain_[band] = *at;
    }
  }

  // Loudest of three frames, and what a room keeps of earlier ones.
  void expect(std::int64_t frame, Magnitudes& expected) {
    Magnitudes b{};
    for (float& e : expected) e *= decay;
    for (const std::int64_t near : {frame - 1, frame, frame + 1}) {
      backing_at(near, b);
      for (std::size_t k = 0; k < b.size(); ++k) {
        expected[k] = std::max(expected[k], gain_[band_of(k)] * b[k]);
      }
    }
  }

  std::pair<double, double> take_out(const Magnitudes& expected) {
    double before = 0, after = 0;
    for (std::size_t k = 0; k < expected.size(); ++k) {
      float& re = short_time_.real()[k];
      float& im = short_time_.imaginary()[k];
      const float power = re * re + im * im;
      const float out = taken_out * taken_out * expected[k] * expected[k];
      const float keep = power > 0 ? std::sqrt(std::max(0.0F, 1 - out / power)) : 0;
      re *= keep, im *= keep;
      before += static_cast<double>(power);
      after += static_cast<double>(power * keep * keep);
    }
    return {before, after};
  }

  DecimatedSound recording_, backing_;
  double at_s_;
  ShortTime short_time_;
  std::array<float, bands> gain_{};
  Uncovered out_;
};

}  // namespace

double Uncovered::covered_between(Seconds from, Seconds to) const {
  double sum = 0;
  std::size_t count = 0;
  for (auto f = static_cast<std::size_t>(std::max(0.0, from.value() / step_s));
       f < covered.size() && static_cast<double>(f) * step_s <= to.value(); ++f) {
    sum += static_cast<double>(covered[f]);
    ++count;
  }
  return count > 0 ? sum / static_cast<double>(count) : 0;
}

Uncovered uncover(AudioView recording, AudioView backing, Seconds at) {
  return Uncovering(recording, backing, at).run();
}

}  // namespace endpin::listen
