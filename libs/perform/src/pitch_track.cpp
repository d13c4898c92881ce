#include "pitch_track.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "endpin/perform/sounds.h"

namespace endpin {
namespace {

constexpr int most_harmonics = 10;
constexpr double highest_hz = 5000;
constexpr double window_periods = 4;
constexpr double largest_cents = 60;
constexpr double comparing_s = 0.008;
// After four periods a semitone is a quarter of one beside it, two semitones are half of one.
constexpr double telling_apart_periods = 4;
constexpr double least_similar = 0.5;

using Complex = std::complex<double>;

std::vector<float> hann(std::size_t length) {
  std::vector<float> window(length);
  for (std::size_t i = 0; i < length; ++i) {
    const double phase =
        2 * std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(length);
    window[i] = static_cast<float>(0.5 - 0.5 * std::cos(phase));
  }
  return window;
}

/// The window times an oscillator, so that a frame costs one pass over two real tables.
struct Probe {
  std::vector<float> real, imaginary;

  Probe(const std::vector<float>& window, double radians_per_sample) {
    const double middle = static_cast<double>(window.size()) / 2;
    for (std::size_t i = 0; i < window.size(); ++i) {
      const double phase = -radians_per_sample * (static_cast<double>(i) - middle);
      real.push_back(window[i] * static_cast<float>(std::cos(phase)));
      imaginary.push_back(window[i] * static_cast<float>(std::sin(phase)));
    }
  }

  // At the window centred on `centre`; samples outside are 0.
  Complex at(std::span<const float> samples, std::ptrdiff_t centre) const {
    const auto length = static_cast<std::ptrdiff_t>(real.size());
    const std::ptrdiff_t start = centre - length / 2;
    const std::ptrdiff_t from = std::max<std::ptrdiff_t>(0, -start);
    const std::ptrdiff_t to = std::min(length, static_cast<std::ptrdiff_t>(samples.size()) - start);
    float re = 0;
    float im = 0;
    for (std::ptrdiff_t i = from; i < to; ++i) {
      re += samples[static_cast<std::size_t>(start + i)] * real[static_cast<std::size_t>(i)];
      im += samples[static_cast<std::size_t>(start + i)] * imaginary[static_cast<std::size_t>(i)];
    }
    return {re, im};
  }
};

// Turn of one harmonic from a frame to the next beyond what was expected, weighed.
struct Turn {
  double weight = 0;
  double cents = 0;
};

Turn turn(Complex before, Complex now, double expected_radians) {
  const double off =
      std::remainder(std::arg(now * std::conj(before)) - expected_radians, 2 * std::numbers::pi);
  const double ratio = 1 + off / expected_radians;
  const double cents = ratio > 0.5 ? 1200 * std::log2(ratio) : -1200;
  const double weight = std::sqrt(std::abs(now) * std::abs(before));
  return {std::abs(cents) > largest_cents ? 0 : weight, cents};
}

// The value with half of the weight on either side.
double weighted_median(std::vector<Turn>& turns, double otherwise) {
  std::sort(turns.begin(), turns.end(),
            [](const Turn& a, const Turn& b) { return a.cents < b.cents; });
  double whole = 0;
  for (const Turn& one : turns) whole += one.weight;
  double below = 0;
  for (const Turn& one : turns) {
    below += one.weight;
    if (whole > 0 && below >= whole / 2) return one.cents;
  }
  return otherwise;
}

double similarity(std::span<const float> a, std::span<const float> b) {
  float product = 0;
  float energy = 1e-9F;
  for (std::size_t i = 0; i < a.size(); ++i) {
    product += a[i] * b[i];
    energy += a[i] * a[i] + b[i] * b[i];
  }
  return 2.0 * product / energy;
}

}  // namespace

PitchTrack track_pitch(std::span<const float> samples, Hertz expected) {
  PitchTrack track;
  const double radians = 2 * std::numbers::pi * expected.value() / performance_rate;
  const int harmonics =
      std::clamp(static_cast<int>(highest_hz / expected.value()), 3, most_harmonics);
  // Short enough that a turn of 60 cents of the highest harmonic stays unambiguous.
  const double unambiguous = std::numbers::pi / (harmonics * radians * 0.036);
  track.hop = static_cast<std::size_t>(std::clamp(unambiguous, 48.0, 240.0));
  const auto window = hann(
      static_cast<std::size_t>(std::max(window_periods * 2 * std::numbers::pi / radians, 960.0)));
  std::vector<Probe> probes;
  for (int h = 1; h <= harmonics; ++h) probes.emplace_back(window, h * radians);
  std::vector<Complex> before(probes.size());
  std::vector<Turn> turns(probes.size());
  const std::size_t frames = samples.size() / track.hop + 1;
  for (std::size_t frame = 0; frame < frames; ++frame) {
    for (std::size_t h = 0; h < probes.size(); ++h) {
      const auto centre = static_cast<std::ptrdiff_t>(frame * track.hop);
      const Complex now = probes[h].at(samples, centre);
      turns[h] = turn(before[h], now, static_cast<double>((h + 1) * track.hop) * radians);
      before[h] = now;
    }
    track.cents.push_back(weighted_median(turns, frame > 0 ? track.cents.back() : 0));
  }
  if (track.cents.size() > 1) track.cents[0] = track.cents[1];
  return track;
}

double mean_cents(std::span<const float> samples, Hertz expected) {
  const double period = performance_rate / expected.value();
  const double lag_expected =
      period * std::max(1.0, std::floor(comparing_s * performance_rate / period));
  const auto width = static_cast<std::size_t>(std::max(0.03 * performance_rate, 3 * period));
  const auto low = static_cast<std::size_t>(lag_expected * 0.977);
  const auto high = static_cast<std::size_t>(lag_expected * 1.023) + 2;
  double sum = 0;
  int count = 0;
  std::vector<double> alike(high - low + 1);
  for (std::size_t at = 0; at + width + high < samples.size(); at += performance_rate / 50) {
    const auto here = samples.subspan(at, width);
    for (std::size_t lag = low; lag <= high; ++lag) {
      alike[lag - low] = similarity(here, samples.subspan(at + lag, width));
    }
    const auto best = std::max_element(alike.begin(), alike.end());
    if (best == alike.begin() || best + 1 == alike.end() || *best < least_similar) continue;
    const double top = 0.5 * (best[-1] - best[1]) / (best[-1] - 2 * best[0] + best[1]);
    const double lag = static_cast<double>(low) + static_cast<double>(best - alike.begin()) + top;
    sum -= 1200 * std::log2(lag / lag_expected);
    ++count;
  }
  return count > 0 ? sum / count : 0;
}

double repetition(std::span<const float> samples, Hertz expected) {
  const double period = performance_rate / expected.value();
  const double lag = period * telling_apart_periods;
  const auto width = static_cast<std::size_t>(std::max(0.05 * performance_rate, 3 * period));
  const auto low = static_cast<std::size_t>(lag * 0.983);
  const auto high = static_cast<std::size_t>(lag * 1.017) + 1;
  double sum = 0;
  int count = 0;
  for (std::size_t at = 0; at + width + high < samples.size(); at += width) {
    double best = 0;
    for (std::size_t i = low; i <= high; ++i) {
      best = std::max(best, similarity(samples.subspan(at, width), samples.subspan(at + i, width)));
    }
    sum += best;
    ++count;
  }
  return count > 0 ? sum / count : 0;
}

std::vector<double> smoothed(const std::vector<double>& values, std::size_t width) {
  const auto half = static_cast<std::ptrdiff_t>(width / 2);
  const auto size = static_cast<std::ptrdiff_t>(values.size());
  std::vector<double> sums(values.size() + 1);
  for (std::size_t i = 0; i < values.size(); ++i) sums[i + 1] = sums[i] + values[i];
  std::vector<double> out(values.size());
  for (std::ptrdiff_t i = 0; i < size; ++i) {
    const std::ptrdiff_t from = std::max<std::ptrdiff_t>(0, i - half);
    const std::ptrdiff_t to = std::min(size, i + half + 1);
    out[static_cast<std::size_t>(i)] =
        (sums[static_cast<std::size_t>(to)] - sums[static_cast<std::size_t>(from)]) /
        static_cast<double>(to - from);
  }
  return out;
}

}  // namespace endpin
