#include "plucked_string.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "endpin/base/pitch.h"
#include "endpin/perform/sounds.h"

namespace endpin {
namespace {

constexpr double two_pi = 2 * std::numbers::pi;
// Chosen by their effect: where a finger plucks, how soft it is, how fast upper partials die.
constexpr double pluck_at = 0.2;
constexpr double finger_hz = 1800;
constexpr double loss = 0.32;

/// One mode of a body.
struct Mode {
  double hz, q, gain;
};
/// Air mode and the two lowest modes of the corpus, about where makers find them (from memory:
/// violin A0 275 Hz, B1- 440 Hz, B1+ 540 Hz; the larger ones scaled).
using Body = std::array<Mode, 3>;

Body body_of(std::string_view instrument) {
  if (instrument == "violin") return {{{275, 12, 1.2}, {440, 14, 1.4}, {540, 14, 1.4}}};
  if (instrument == "viola") return {{{222, 12, 1.2}, {350, 14, 1.4}, {430, 14, 1.4}}};
  if (instrument == "bass") return {{{62, 10, 1.2}, {105, 12, 1.3}, {135, 12, 1.3}}};
  return {{{100, 12, 1.2}, {175, 14, 1.4}, {200, 14, 1.4}}};
}

// Seconds until a string has died away by 60 dB: long and low, short and high.
double decay_s(double hz) { return std::clamp(2.8 * std::pow(65.0 / hz, 0.55), 0.5, 3.2); }

/// The string itself.
class Loop {
 public:
  explicit Loop(double hz) {
    const double period = performance_rate / hz;
    const double w = two_pi / period;
    const double low_pass_delay =
        std::atan2(loss * std::sin(w), (1 - loss) + loss * std::cos(w)) / w;
    const double rest = period - low_pass_delay - 0.5;
    line_.resize(static_cast<std::size_t>(rest));
    const double fraction = period - low_pass_delay - static_cast<double>(line_.size());
    all_pass_ = (1 - fraction) / (1 + fraction);
    gain_ = std::pow(10, -3 * period / performance_rate / decay_s(hz));
  }

  double operator()(double excitation) {
    const double out = line_[at_];
    const double damped = gain_ * ((1 - loss) * out + loss * before_);
    before_ = out;
    const double passed = all_pass_ * damped + state_;
    state_ = damped - all_pass_ * passed;
    line_[at_] = passed + excitation;
    at_ = (at_ + 1) % line_.size();
    return out;
  }

  std::size_t length() const { return line_.size(); }

 private:
  std::vector<double> line_;
  std::size_t at_ = 0;
  double all_pass_ = 0, gain_ = 1, before_ = 0, state_ = 0;
};

/// The finger lets go: a push at the string and its reflection from the near end, softened.
std::vector<double> release(std::size_t period) {
  std::vector<double> push(period);
  push[0] = 1;
  push[std::min(period - 1, static_cast<std::size_t>(pluck_at * static_cast<double>(period)))] -= 1;
  const double soft = std::exp(-two_pi * finger_hz / performance_rate);
  for (int pass = 0; pass < 2; ++pass) {
    double state = 0;
    for (double& value : push) value = state = (1 - soft) * value + soft * state;
  }
  return push;
}

// Band pass of constant peak gain (bilinear transform of a resonance).
void add_mode(const std::vector<float>& dry, const Mode& mode, std::vector<float>& wet) {
  const double w = two_pi * mode.hz / performance_rate;
  const double alpha = std::sin(w) / (2 * mode.q);
  const double a0 = 1 + alpha;
  const double b = mode.gain * alpha / a0;
  const double a1 = -2 * std::cos(w) / a0;
  const double a2 = (1 - alpha) / a0;
  double z1 = 0;
  double z2 = 0;
  for (std::size_t i = 0; i < dry.size(); ++i) {
    const double y = b * dry[i] + z1;
    z1 = z2 - a1 * y;
    z2 = -b * dry[i] - a2 * y;
    wet[i] += static_cast<float>(y);
  }
}

}  // namespace

std::vector<float> plucked_string(std::string_view instrument, int midi, std::size_t count) {
  Loop string(frequency(midi).value());
  const std::vector<double> push = release(string.length());
  std::vector<float> dry(count);
  // What comes out of the line is one period late: the first period of it is the push itself.
  for (const double value : push) string(value);
  for (float& sample : dry) sample = static_cast<float>(string(0));
  std::vector<float> wet = dry;
  for (const Mode& mode : body_of(instrument)) add_mode(dry, mode, wet);
  return wet;
}

}  // namespace endpin
