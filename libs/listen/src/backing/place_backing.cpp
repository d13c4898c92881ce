#include "backing/place_backing.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <vector>

#include "endpin/dsp/decimate.h"
#include "endpin/dsp/fft.h"
#include "endpin/dsp/onset_strength.h"

namespace endpin::listen {
namespace {

constexpr double step_s = 0.005;
constexpr double around_given_s = 0.5;    // a player's start, a loudspeaker's delay (ours)
constexpr double least_agreement = 0.35;  // of other music with a beat: 0.2 (ours, simulated)
constexpr double least_peak = 12;  // of the lags' robust deviation: chance stays below (ours)

// Flux above its middle, compressed: what stays the same through a loudspeaker and a room.
std::vector<float> beginnings(AudioView audio) {
  const DecimatedSound sound(audio.samples, audio.sample_rate_hz);
  OnsetStrength strength(sound.rate_hz());
  std::vector<float> window(strength.window());
  std::vector<float> flux(static_cast<std::size_t>(audio.length().value() / step_s) + 1);
  for (std::size_t i = 0; i < flux.size(); ++i) {
    const auto centre = std::llround(static_cast<double>(i) * step_s * sound.rate_hz());
    sound.read(centre - static_cast<std::int64_t>(window.size() / 2), window);
    flux[i] = std::sqrt(std::max(0.0F, strength.next(window).flux_db));
  }
  double mean = 0;
  for (const float f : flux) mean += static_cast<double>(f) / static_cast<double>(flux.size());
  for (float& f : flux) f -= static_cast<float>(mean);
  return flux;
}

// Σ a[n + lag] b[n] for all lags: index lag, negative ones from the end on.
std::vector<float> correlation(const std::vector<float>& a, const std::vector<float>& b) {
  const std::size_t size = std::bit_ceil(std::max<std::size_t>(8, a.size() + b.size()));
  RealFft fft(size);
  const auto spectrum = [&](std::vector<float> x, std::vector<float>& re, std::vector<float>& im) {
    x.resize(size);
    re.resize(fft.bins());
    im.resize(fft.bins());
    fft.transform(x, re, im);
  };
  std::vector<float> ar, ai, br, bi;
  spectrum(a, ar, ai);
  spectrum(b, br, bi);
  // A · conj(B), then back by the Hartley transform (see short_time.cpp).
  std::vector<float> hartley(size);
  for (std::size_t k = 0; k < fft.bins(); ++k) {
    const float re = ar[k] * br[k] + ai[k] * bi[k], im = ai[k] * br[k] - ar[k] * bi[k];
    hartley[k] = re - im;
    if (k > 0 && k + 1 < fft.bins()) hartley[size - k] = re + im;
  }
  fft.transform(hartley, ar, ai);
  std::vector<float> lags(size);
  for (std::size_t k = 0; k < fft.bins(); ++k) {
    lags[k] = ar[k] - ai[k];
    if (k > 0 && k + 1 < fft.bins()) lags[size - k] = ar[k] + ai[k];
  }
  return lags;
}

// Of the two where they lie over each other, 0…1.
double agreement(const std::vector<float>& a, const std::vector<float>& b, std::int64_t lag) {
  double ab = 0, aa = 0, bb = 0;
  for (std::size_t i = 0; i < b.size(); ++i) {
    const std::int64_t j = static_cast<std::int64_t>(i) + lag;
    if (j < 0 || j >= static_cast<std::int64_t>(a.size())) continue;
    const double x = static_cast<double>(a[static_cast<std::size_t>(j)]);
    const double y = static_cast<double>(b[i]);
    ab += x * y, aa += x * x, bb += y * y;
  }
  return aa > 0 && bb > 0 ? ab / std::sqrt(aa * bb) : 0;
}

double robust_deviation(std::vector<float> values) {
  for (float& v : values) v = std::abs(v);
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return 1.48 * static_cast<double>(*middle);
}

}  // namespace

std::optional<Seconds> place_backing(AudioView recording, const Backing& backing) {
  if (recording.samples.empty() || backing.audio.samples.empty()) return std::nullopt;
  const auto a = beginnings(recording), b = beginnings(backing.audio);
  const auto lags = correlation(a, b);
  const auto size = static_cast<std::int64_t>(lags.size());
  std::int64_t from = -static_cast<std::int64_t>(b.size()) + 1;
  auto to = static_cast<std::int64_t>(a.size()) - 1;
  if (backing.at) {
    from =
        std::max<std::int64_t>(from, std::llround((backing.at->value() - around_given_s) / step_s));
    to = std::min<std::int64_t>(to, std::llround((backing.at->value() + around_given_s) / step_s));
  }
  float best = 0;
  std::int64_t at = 0;
  for (std::int64_t lag = from; lag <= to; ++lag) {
    const float value = lags[static_cast<std::size_t>((lag + size) % size)];
    if (value > best) best = value, at = lag;
  }
  const double deviation = robust_deviation(lags);
  if (agreement(a, b, at) < least_agreement) return std::nullopt;
  if (deviation <= 0 || static_cast<double>(best) < least_peak * deviation) return std::nullopt;
  return Seconds(static_cast<double>(at) * step_s);
}

}  // namespace endpin::listen
