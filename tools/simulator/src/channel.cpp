#include "endpin/simulator/channel.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include <unsupported/Eigen/FFT>

#include "endpin/simulator/random.h"

#include "loudness.h"

namespace endpin::simulator {

double loudness(const Audio& audio) {
  const auto block = static_cast<std::size_t>(audio.rate / 20);
  std::vector<double> powers;
  for (std::size_t from = 0; from + block <= audio.samples.size(); from += block) {
    double power = 0;
    for (std::size_t i = from; i < from + block; ++i) {
      power += static_cast<double>(audio.samples[i]) * audio.samples[i];
    }
    powers.push_back(power / static_cast<double>(block));
  }
  if (powers.empty()) return 0;
  std::sort(powers.begin(), powers.end());
  return std::sqrt(powers[powers.size() * 7 / 10]);
}

namespace {

/// After the direct sound: noise that decays and darkens.
std::vector<float> room_tail(int rate, double t60, std::uint64_t seed) {
  Random random(seed);
  std::vector<float> tail(static_cast<std::size_t>(t60 * rate));
  const auto delay = static_cast<std::size_t>(0.006 * rate);
  double low = 0;
  double energy = 0;
  for (std::size_t i = delay; i < tail.size(); ++i) {
    const double t = static_cast<double>(i) / rate;
    const double dark = std::exp(-2 * std::numbers::pi * (6000 - 4500 * t / t60) / rate);
    low = dark * low + (1 - dark) * random.normal();
    const double value = low * std::pow(10.0, -3 * t / t60);
    tail[i] = static_cast<float>(value);
    energy += value * value;
  }
  const auto scale = static_cast<float>(1 / std::sqrt(energy));
  for (auto& sample : tail) sample *= scale;
  return tail;
}

using Spectrum = std::vector<std::complex<float>>;

enum class Passes { low, high };

// One pair of poles and a double zero, by the bilinear transform; `damping`: 1 / Q.
void second_order(Audio& audio, Hertz cutoff, double damping, Passes passes) {
  const double k = std::tan(std::numbers::pi * cutoff.value() / audio.rate);
  const double norm = 1 / (1 + damping * k + k * k);
  const double b = passes == Passes::high ? norm : k * k * norm;
  const double middle = passes == Passes::high ? -2 : 2;
  const double a1 = 2 * (k * k - 1) * norm;
  const double a2 = (1 - damping * k + k * k) * norm;
  double x1 = 0, x2 = 0, y1 = 0, y2 = 0;
  for (auto& sample : audio.samples) {
    const double x = sample;
    const double y = b * (x + middle * x1 + x2) - a1 * y1 - a2 * y2;
    x2 = x1, x1 = x, y2 = y1, y1 = y;
    sample = static_cast<float>(y);
  }
}

}  // namespace

void add_room(Audio& audio, Seconds reverberation, std::uint64_t seed) {
  const auto tail = room_tail(audio.rate, reverberation.value(), seed);
  std::size_t size = 1;
  while (size < 2 * tail.size()) size *= 2;
  const std::size_t step = size - tail.size();
  Eigen::FFT<float> fft;
  std::vector<float> padded(tail);
  padded.resize(size);
  Spectrum response;
  fft.fwd(response, padded);
  std::vector<float> wet(audio.samples.size() + size);
  for (std::size_t from = 0; from < audio.samples.size(); from += step) {
    const auto count = std::min(step, audio.samples.size() - from);
    std::fill(padded.begin(), padded.end(), 0.0F);
    std::copy_n(audio.samples.begin() + static_cast<std::ptrdiff_t>(from), count, padded.begin());
    Spectrum spectrum;
    fft.fwd(spectrum, padded);
    for (std::size_t k = 0; k < size; ++k) spectrum[k] *= response[k];
    std::vector<float> part;
    fft.inv(part, spectrum);
    for (std::size_t i = 0; i < size; ++i) wet[from + i] += part[i];
  }
  for (std::size_t i = 0; i < audio.samples.size(); ++i) audio.samples[i] += wet[i];
}

void add_noise(Audio& audio, Decibels snr, std::uint64_t seed) {
  Random random(seed);
  const double level = loudness(audio) * std::pow(10.0, -snr.value() / 20);
  double slow = 0;
  double slower = 0;
  std::vector<double> noise(audio.samples.size());
  double power = 1e-20;
  for (std::size_t i = 0; i < noise.size(); ++i) {
    const double white = random.normal();
    slow = 0.97 * slow + 0.25 * white;
    slower = 0.998 * slower + 0.06 * white;
    const double hum =
        0.3 * std::sin(2 * std::numbers::pi * 50 * static_cast<double>(i) / audio.rate);
    noise[i] = 0.3 * white + slow + slower + hum;
    power += noise[i] * noise[i];
  }
  const double scale = level / std::sqrt(power / static_cast<double>(noise.size()));
  for (std::size_t i = 0; i < noise.size(); ++i) {
    audio.samples[i] += static_cast<float>(scale * noise[i]);
  }
}

void high_pass(Audio& audio, Hertz cutoff) {
  second_order(audio, cutoff, std::numbers::sqrt2, Passes::high);
}

void low_pass(Audio& audio, Hertz cutoff) {
  // The two pairs of poles of order four (Butterworth 1930): Q = 1 / (2 cos 22.5°), 1 / (2 cos
  // 67.5°).
  for (const double q : {0.5411961, 1.3065630}) second_order(audio, cutoff, 1 / q, Passes::low);
}

void add_hum(Audio& audio, Decibels snr, Hertz mains) {
  double power = 0;
  const auto strength = [](int h) { return (h % 2 == 1 ? 1.0 : 0.4) / std::sqrt(h); };
  for (int h = 1; h <= 9; ++h) power += strength(h) * strength(h) / 2;
  const double scale = loudness(audio) * std::pow(10.0, -snr.value() / 20) / std::sqrt(power);
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    const double phase = 2 * std::numbers::pi * mains.value() * static_cast<double>(i) / audio.rate;
    double sum = 0;
    for (int h = 1; h <= 9; ++h) sum += strength(h) * std::sin(h * phase + h * h);
    audio.samples[i] += static_cast<float>(scale * sum);
  }
}

void add_handling(Audio& audio, Decibels snr, std::uint64_t seed) {
  Random random(seed);
  const double level = loudness(audio);
  const double wind = level * std::pow(10.0, -snr.value() / 20);
  const double pole = std::exp(-2 * std::numbers::pi * 120 / audio.rate);
  const double gust_pole = std::exp(-1.0 / (0.4 * audio.rate));
  // Noise through a one-pole filter has sqrt((1 − p) / (1 + p)) of its deviation left.
  const auto left = [](double p) { return std::sqrt((1 - p) / (1 + p)); };
  double low = 0, lower = 0, gust = 0;
  double knock = 0, knock_s = random.uniform(0.5, 3);
  const double knock_pole = std::exp(-1 / (0.02 * audio.rate));
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    const double t = static_cast<double>(i) / audio.rate;
    low = pole * low + (1 - pole) * random.normal();
    lower = pole * lower + (1 - pole) * low;
    gust = gust_pole * gust + (1 - gust_pole) * random.normal();
    const double strength = std::max(0.0, gust / left(gust_pole));
    if (t >= knock_s) knock = 1, knock_s += random.uniform(1.5, 5);
    knock *= knock_pole;
    const double thump =
        knock * (2 * std::sin(2 * std::numbers::pi * 95 * t) + 0.5 * random.normal());
    // `lower` keeps about three fifths of what one filter leaves.
    const double blown = strength * lower / (0.6 * left(pole));
    audio.samples[i] += static_cast<float>(wind * blown + level * thump);
  }
}

void gain_control(Audio& audio, const GainControl& control) {
  const double goal = std::pow(10.0, control.goal.value() / 20);
  const double down = 1 - std::exp(-1 / (control.down.value() * audio.rate));
  const double up = 1 - std::exp(-1 / (control.up.value() * audio.rate));
  const double follow = 1 - std::exp(-1 / (0.03 * audio.rate));
  double power = goal * goal;
  double gain = 1;
  for (auto& sample : audio.samples) {
    power += follow * (static_cast<double>(sample) * sample - power);
    const double wanted = std::clamp(goal / std::sqrt(power + 1e-12), 0.06, control.most);
    gain += (wanted < gain ? down : up) * (wanted - gain);
    sample = static_cast<float>(gain * sample);
  }
}

void clip(Audio& audio, Decibels over) {
  float peak = 1e-9F;
  for (const float s : audio.samples) peak = std::max(peak, std::abs(s));
  const auto scale = static_cast<float>(std::pow(10.0, over.value() / 20)) / peak;
  for (auto& s : audio.samples) s = std::clamp(s * scale, -1.0F, 1.0F);
}

void phone_microphone(Audio& audio) {
  high_pass(audio, Hertz(110));
  gain_control(audio);
  clip(audio, Decibels(1.5));
}

}  // namespace endpin::simulator
