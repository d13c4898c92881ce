#include "backing/uncover.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "endpin/dsp/decimate.h"

#include "backing/loudspeaker.h"
#include "backing/other_clock.h"
#include "backing/short_time.h"
#include "quantiles.h"

namespace endpin::listen {
namespace {

// Ours, from takes made by simulated players beside our own play-along.
constexpr double alone_quantile = 0.2;  // of the ratios: the player is silent there in one of five
constexpr float taken_out = 2.0F;       // 6 dB more than expected
constexpr float decay = 0.72F;          // of amplitude a hop: 60 dB in half a second
constexpr float strong_share = 0.1F;    // of a band's loudest: weaker cells are noise
constexpr std::size_t bands = 40;
constexpr float most_gain = 4;
constexpr std::size_t at_once = 16384;  // samples of the backing that are read

std::size_t band_of(std::size_t bin) {
  // Six to an octave from the 8th bin (94 Hz at 24 kHz) on; below, one for all.
  if (bin < 8) return 0;
  const double octaves = std::log2(static_cast<double>(bin) / 8.0);
  return std::min(bands - 1, 1 + static_cast<std::size_t>(6 * octaves));
}

constexpr std::size_t bins = ShortTime::bins;
using Values = std::array<float, bins>;

class Uncovering {
 public:
  Uncovering(AudioView recording, AudioView backing, const Placement& placement)
      : own_(samples_of(recording)),
        other_(backing.samples, backing.sample_rate_hz),
        clock_(other_, -placement.at.value() * placement.rate,
               placement.rate * other_.rate_hz() / own_.rate_hz),
        aligned_(at_once,
                 [this](std::int64_t from, std::span<float> out) { clock_.read(from, out); }),
        recording_(reader_of(own_.samples)),
        loudspeaker_({recording_,
                      [this](std::int64_t from, std::span<float> out) { aligned_.read(from, out); },
                      std::ssize(own_.samples), own_.rate_hz}),
        arriving_(
            [this](std::int64_t from, std::span<float> out) { loudspeaker_.arriving(from, out); }) {
    loudspeaker_.estimate();
    out_.sample_rate_hz = own_.rate_hz;
    for (std::size_t k = 0; k < bins; ++k) band_[k] = band_of(k);
  }

  Uncovered run() {
    find_leaks();
    out_.cover.step_s = static_cast<double>(ShortTime::hop) / out_.sample_rate_hz;
    out_.samples.assign(own_.samples.size(), 0.0F);
    Values expected{};
    for (std::int64_t f = 0; centre(f) < std::ssize(own_.samples); ++f) {
      const double whole = take_off(f);
      for (std::size_t k = 0; k < bins; ++k) {
        expected[k] = std::max(expected[k] * decay, leak_[band_[k]] * arrives_[k]);
      }
      const double rest = keep_what_stands_out(expected);
      out_.cover.steps.push_back({static_cast<float>(whole), static_cast<float>(rest)});
      left_.add_to(out_.samples, centre(f));
    }
    return std::move(out_);
  }

 private:
  // Without std::hypot's care for what over- or underflows, which costs ten times as much.
  static float size(ShortTime& s, std::size_t bin) {
    return std::sqrt(s.real()[bin] * s.real()[bin] + s.imaginary()[bin] * s.imaginary()[bin]);
  }
  static std::int64_t centre(std::int64_t frame) {
    return frame * static_cast<std::int64_t>(ShortTime::hop);
  }

  // The frame of the recording without what arrives, in left_; that one's magnitudes in arrives_.
  // Returns the frame's energy.
  double take_off(std::int64_t frame) {
    left_.spectrum(recording_, centre(frame));
    backing_.spectrum(arriving_, centre(frame));
    double whole = 0, arrived = 0, common = 0, turned = 0;
    for (std::size_t k = 0; k < bins; ++k) {
      const double xr = static_cast<double>(left_.real()[k]);
      const double xi = static_cast<double>(left_.imaginary()[k]);
      const double yr = static_cast<double>(backing_.real()[k]);
      const double yi = static_cast<double>(backing_.imaginary()[k]);
      whole += xr * xr + xi * xi;
      arrived += yr * yr + yi * yi;
      common += xr * yr + xi * yi;
      turned += xi * yr - xr * yi;
    }
    float gain = 1;
    if (whole > 0 && arrived > 0) {
      const double coherence = (common * common + turned * turned) / (whole * arrived);
      gain = static_cast<float>(1 + coherence * (common / arrived - 1));
      gain = std::clamp(gain, 0.0F, most_gain);
    }
    for (std::size_t k = 0; k < bins; ++k) {
      const float re = gain * backing_.real()[k], im = gain * backing_.imaginary()[k];
      left_.real()[k] -= re, left_.imaginary()[k] -= im;
      arrives_[k] = std::sqrt(re * re + im * im);
    }
    return whole;
  }

  // Of each band, how much of what arrives is not taken off with it.
  void find_leaks() {
    std::array<float, bands> loudest{};
    for (std::int64_t f = 0; centre(f) < std::ssize(own_.samples); f += 2) {
      backing_.spectrum(arriving_, centre(f));
      for (std::size_t k = 0; k < bins; ++k) {
        float& l = loudest[band_[k]];
        l = std::max(l, size(backing_, k));
      }
    }
    std::array<std::vector<float>, bands> ratios;
    for (std::int64_t f = 0; centre(f) < std::ssize(own_.samples); f += 2) {
      take_off(f);
      for (std::size_t k = 0; k < bins; ++k) {
        const float a = arrives_[k];
        if (!(a > 0) || a < strong_share * loudest[band_[k]]) continue;
        ratios[band_[k]].push_back(size(left_, k) / a);
      }
    }
    for (std::size_t band = 0; band < bands; ++band) {
      auto& r = ratios[band];
      if (r.empty()) continue;
      leak_[band] = std::min(1.0F, quantile(std::move(r), alone_quantile));
    }
  }

  double keep_what_stands_out(const Values& expected) {
    double after = 0;
    for (std::size_t k = 0; k < bins; ++k) {
      float& re = left_.real()[k];
      float& im = left_.imaginary()[k];
      const float power = re * re + im * im;
      const float out = taken_out * taken_out * expected[k] * expected[k];
      const float keep = power > 0 ? std::sqrt(std::max(0.0F, 1 - out / power)) : 0;
      re *= keep, im *= keep;
      after += static_cast<double>(power * keep * keep);
    }
    return after;
  }

  struct Own {
    std::vector<float> samples;
    double rate_hz = 0;
  };
  static Own samples_of(AudioView recording) {
    const DecimatedSound sound(recording.samples, recording.sample_rate_hz);
    Own own{std::vector<float>(sound.size()), sound.rate_hz()};
    sound.read(0, own.samples);
    return own;
  }

  Own own_;
  DecimatedSound other_;
  OtherClock clock_;
  BlockReader aligned_;
  SoundReader recording_;
  Loudspeaker loudspeaker_;
  SoundReader arriving_;
  ShortTime left_, backing_;
  Values arrives_{};
  std::array<std::size_t, bins> band_{};
  std::array<float, bands> leak_{};
  Uncovered out_;
};

}  // namespace

double Cover::Step::covered() const {
  return whole > 0 ? std::max(0.0, 1 - static_cast<double>(rest) / static_cast<double>(whole)) : 0;
}

double Cover::left() const {
  double before = 0, after = 0;
  for (const Step& s : steps) {
    before += static_cast<double>(s.whole), after += static_cast<double>(s.rest);
  }
  return before > 0 ? after / before : 1;
}

double Cover::covered_between(Seconds from, Seconds to) const {
  Step sum;
  for (auto f = static_cast<std::size_t>(std::max(0.0, from.value() / step_s));
       f < steps.size() && static_cast<double>(f) * step_s <= to.value(); ++f) {
    sum.whole += steps[f].whole, sum.rest += steps[f].rest;
  }
  return sum.covered();
}

Uncovered uncover(AudioView recording, AudioView backing, const Placement& placement) {
  return Uncovering(recording, backing, placement).run();
}

}  // namespace endpin::listen
