#include "endpin/simulator/odd_channel.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include <unsupported/Eigen/FFT>

#include "endpin/simulator/random.h"

#include "loudness.h"

namespace endpin::simulator {
namespace {

double amplitude(Decibels db) { return std::pow(10.0, db.value() / 20); }

/// A sine among others: what it weighs, not how loud it is.
struct Line {
  double hz, weight;
};

void add_lines(Audio& audio, const std::vector<Line>& lines, Decibels snr) {
  double power = 0;
  for (const Line& l : lines) power += l.weight * l.weight / 2;
  const double scale = loudness(audio) / amplitude(snr) / std::sqrt(power);
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    const double t = 2 * std::numbers::pi * static_cast<double>(i) / audio.rate;
    double sum = 0;
    for (const Line& l : lines) sum += l.weight * std::sin(l.hz * t + l.hz);
    audio.samples[i] += static_cast<float>(scale * sum);
  }
}

/// Half-overlapped frames under the square root of a Hann window, twice.
class Frames {
 public:
  using Spectrum = std::vector<std::complex<float>>;
  Frames(const Audio& audio, std::size_t size) : size_(size), window_(size) {
    for (std::size_t i = 0; i < size; ++i) {
      const double phase =
          std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(size);
      window_[i] = static_cast<float>(std::sin(phase));
    }
    for (std::size_t from = 0; from < audio.samples.size(); from += size / 2) {
      std::vector<float> part(size);
      for (std::size_t i = 0; i < size && from + i < audio.samples.size(); ++i) {
        part[i] = window_[i] * audio.samples[from + i];
      }
      fft_.fwd(spectra.emplace_back(), part);
    }
  }
  void give(Audio& audio) {
    std::fill(audio.samples.begin(), audio.samples.end(), 0.0F);
    std::vector<float> part;
    for (std::size_t f = 0; f < spectra.size(); ++f) {
      fft_.inv(part, spectra[f]);
      const std::size_t from = f * size_ / 2;
      for (std::size_t i = 0; i < size_ && from + i < audio.samples.size(); ++i) {
        audio.samples[from + i] += window_[i] * part[i];
      }
    }
  }

  std::vector<Spectrum> spectra;

 private:
  std::size_t size_;
  std::vector<float> window_;
  Eigen::FFT<float> fft_;
};

float quietest_tenth(const std::vector<Frames::Spectrum>& spectra, std::size_t bin) {
  std::vector<float> values;
  values.reserve(spectra.size());
  for (const auto& s : spectra) values.push_back(std::abs(s[bin]));
  const auto tenth = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 10);
  std::nth_element(values.begin(), tenth, values.end());
  return *tenth;
}

}  // namespace

void faint(Audio& audio, Decibels peak) {
  float most = 1e-9F;
  for (const float s : audio.samples) most = std::max(most, std::abs(s));
  const double scale = amplitude(peak) / most;
  for (float& s : audio.samples) {
    s = static_cast<float>(std::round(scale * s * 32768) / 32768);
  }
}

void add_offset(Audio& audio, double offset) {
  for (float& s : audio.samples) s += static_cast<float>(offset);
}

void add_hiss(Audio& audio, Decibels snr, std::uint64_t seed) {
  Random random(seed);
  const double level = loudness(audio) / amplitude(snr);
  for (float& s : audio.samples) s += static_cast<float>(level * random.normal());
}

void voice_processing(Audio& audio) {
  constexpr double window_s = 0.032, gate_below_db = 30, closes_s = 0.03;
  constexpr float too_much = 3, least = 0.05F;
  const double open = loudness(audio) * amplitude(Decibels(-gate_below_db));
  Frames frames(audio, 2 * static_cast<std::size_t>(window_s * audio.rate / 2));
  const std::size_t bins = frames.spectra.empty() ? 0 : frames.spectra.front().size();
  for (std::size_t k = 0; k < bins; ++k) {
    const float noise = too_much * quietest_tenth(frames.spectra, k);
    for (auto& s : frames.spectra) {
      const float now = std::abs(s[k]);
      s[k] *= now > 0 ? std::max(least, 1 - noise / now) : 0.0F;
    }
  }
  frames.give(audio);
  const double follow = 1 - std::exp(-1 / (0.01 * audio.rate));
  const double close = 1 - std::exp(-1 / (closes_s * audio.rate));
  double power = 0, gain = 0;
  for (float& sample : audio.samples) {
    power += follow * (static_cast<double>(sample) * sample - power);
    const double wanted = power > open * open ? 1 : 0;
    gain += (wanted > gain ? 0.01 : close) * (wanted - gain);
    sample = static_cast<float>(gain * sample);
  }
}

void wow(Audio& audio, double share, Hertz rate) {
  const std::vector<float> before = audio.samples;
  const double omega = 2 * std::numbers::pi * rate.value() / audio.rate;
  for (std::size_t i = 0; i < before.size(); ++i) {
    const double at =
        static_cast<double>(i) + share / omega * std::sin(omega * static_cast<double>(i));
    const auto j = static_cast<std::size_t>(std::max(0.0, at));
    const auto part = static_cast<float>(std::max(0.0, at) - static_cast<double>(j));
    if (j + 1 < before.size()) audio.samples[i] = (1 - part) * before[j] + part * before[j + 1];
  }
}

void add_machines(Audio& audio, Decibels snr) {
  std::vector<Line> lines{{2950, 0.25}};
  for (int h = 1; h <= 5; ++h) {
    lines.push_back({118.0 * h, 1.0 / h});
    lines.push_back({100.0 * h, 0.8 / h});
  }
  add_lines(audio, lines, snr);
}

void add_drone(Audio& audio, Hertz hz, Decibels below) {
  std::vector<Line> lines;
  for (int h = 1; h <= 8; ++h) lines.push_back({hz.value() * h, std::pow(h, -1.5)});
  add_lines(audio, lines, below);
}

}  // namespace endpin::simulator
