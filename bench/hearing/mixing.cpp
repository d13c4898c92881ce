#include "mixing.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace endpin::evaluation {

Audio at_rate(const Audio& audio, int rate) {
  if (audio.rate == rate || audio.samples.empty()) return {rate, audio.samples};
  const double step = static_cast<double>(audio.rate) / rate;
  const auto count = static_cast<std::size_t>(static_cast<double>(audio.samples.size()) / step);
  Audio out{rate, std::vector<float>(count)};
  for (std::size_t i = 0; i < count; ++i) {
    const double at = static_cast<double>(i) * step;
    const auto before = static_cast<std::size_t>(at);
    const std::size_t after = std::min(before + 1, audio.samples.size() - 1);
    const auto share = static_cast<float>(at - static_cast<double>(before));
    out.samples[i] = (1 - share) * audio.samples[before] + share * audio.samples[after];
  }
  return out;
}

double rms(const Audio& audio) {
  double sum = 0;
  for (const float x : audio.samples) sum += static_cast<double>(x) * static_cast<double>(x);
  return audio.samples.empty() ? 0 : std::sqrt(sum / static_cast<double>(audio.samples.size()));
}

void mix_in(Audio& into, const Audio& other, Seconds at, double gain) {
  assert(into.rate == other.rate && at.value() >= 0);
  const auto from = static_cast<std::size_t>(at.value() * into.rate);
  into.samples.resize(std::max(into.samples.size(), from + other.samples.size()));
  for (std::size_t i = 0; i < other.samples.size(); ++i) {
    into.samples[from + i] += static_cast<float>(gain) * other.samples[i];
  }
}

Audio joined(Audio first, const Audio& second) {
  assert(first.rate == second.rate);
  first.samples.insert(first.samples.end(), second.samples.begin(), second.samples.end());
  return first;
}

Audio silence(Seconds length, int rate) {
  return {rate, std::vector<float>(static_cast<std::size_t>(length.value() * rate))};
}

}  // namespace endpin::evaluation
