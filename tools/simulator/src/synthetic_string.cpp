#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

#include "endpin/simulator/sound.h"

#include "bow_noise.h"

namespace endpin::simulator {
namespace {

struct Formant {
  double hz, q, gain;
};

/// Main resonances of the bodies, rough (from memory: air, main wood, bridge hill).
const std::vector<Formant>& formants_of(const std::string& instrument) {
  static const std::map<std::string, std::vector<Formant>> bodies{
      {"violin", {{275, 8, 1.2}, {460, 9, 1.4}, {550, 9, 1.2}, {1000, 4, 0.6}, {2500, 2, 1.0}}},
      {"viola", {{220, 8, 1.2}, {370, 9, 1.4}, {450, 9, 1.0}, {900, 4, 0.7}, {1900, 2, 0.9}}},
      {"cello", {{100, 6, 1.2}, {185, 8, 1.4}, {220, 8, 1.0}, {600, 3, 0.7}, {1500, 2, 0.8}}},
      {"bass", {{62, 5, 1.2}, {105, 7, 1.4}, {160, 6, 1.0}, {400, 3, 0.7}, {900, 2, 0.8}}}};
  return bodies.at(instrument);
}

class SyntheticString final : public Sound {
 public:
  SyntheticString(const std::string& instrument, int voice) : formants_(formants_of(instrument)) {
    Random random(977 + static_cast<std::uint64_t>(voice));
    for (auto& f : formants_) {
      f.hz *= random.uniform(0.88, 1.14);
      f.gain *= random.uniform(0.6, 1.5);
    }
    cutoff_hz_ =
        (instrument == "cello" || instrument == "bass" ? 2200 : 3800) * random.uniform(0.8, 1.3);
  }

  void add(const Stroke& stroke, Random random, Audio& out) const override {
    const StrokeShape shape(stroke, random.fork());
    Voice voice{0, random, {}, {}};
    const double rate = static_cast<double>(out.rate);
    const auto begin = static_cast<std::size_t>(shape.begin_s() * rate);
    const auto end =
        std::min(out.samples.size(), static_cast<std::size_t>(shape.end_s() * rate) + 1);
    const double noise = std::pow(10.0, stroke.bow_noise_db / 20);
    for (std::size_t at = begin; at < end; at += block) {
      const auto stop = std::min(at + block, end);
      add_block(shape, noise, at, stop, voice, out);
    }
  }

 private:
  static constexpr std::size_t block = 64;
  static constexpr std::size_t most_harmonics = 32;
  struct Voice {
    double phase = 0;
    Random random;
    BowNoise noise;
    std::array<double, most_harmonics> gains{};  // at the last block's end
  };

  double response(double hz) const {
    double sum = 0.35;
    for (const auto& f : formants_) {
      const double detune = f.q * (hz / f.hz - f.hz / hz);
      sum += f.gain / (1 + detune * detune);
    }
    return sum / (1 + (hz / cutoff_hz_) * (hz / cutoff_hz_));
  }

  void add_block(const StrokeShape& shape, double noise, std::size_t from, std::size_t to,
                 Voice& voice, Audio& out) const {
    const double rate = static_cast<double>(out.rate);
    const double t0 = static_cast<double>(from) / rate;
    const double t1 = static_cast<double>(to) / rate;
    const double hz0 = shape.hz(t0);
    const double hz1 = shape.hz(t1);
    const double bow = shape.bow(t1);
    const double level = shape.level(t1);
    const double scratch = shape.scratch(t1);
    const auto harmonics = std::min(most_harmonics, static_cast<std::size_t>(9000 / hz1));
    std::array<double, most_harmonics> goal{};
    for (std::size_t h = 0; h < harmonics; ++h) {
      const double order = static_cast<double>(h + 1);
      const double bright = std::pow(std::max(level, 1e-4), 0.06 * static_cast<double>(h));
      const double rough = 1 - 0.6 * scratch * voice.random.uniform();
      goal[h] = level * bright * rough * response(order * hz1) / order;
    }
    const double hiss = noise * bow * (1 + 2.5 * (1 - level)) * (1 + 30 * scratch);
    const auto count = static_cast<double>(to - from);
    for (std::size_t i = from; i < to; ++i) {
      const double part = static_cast<double>(i - from + 1) / count;
      voice.phase += 2 * std::numbers::pi * (hz0 + (hz1 - hz0) * part) / rate;
      if (voice.phase > 2 * std::numbers::pi) voice.phase -= 2 * std::numbers::pi;
      double sample = 0;
      double last = 0;
      double now = std::sin(voice.phase);
      const double twice = 2 * std::cos(voice.phase);
      for (std::size_t h = 0; h < most_harmonics; ++h) {
        sample += now * (voice.gains[h] + (goal[h] - voice.gains[h]) * part);
        const double next = twice * now - last;
        last = now;
        now = next;
      }
      out.samples[i] += static_cast<float>(sample + hiss * voice.noise.next(voice.random));
    }
    voice.gains = goal;
  }

  std::vector<Formant> formants_;
  double cutoff_hz_ = 3500;
};

}  // namespace

std::unique_ptr<Sound> synthetic_string(const std::string& instrument, int voice) {
  return std::make_unique<SyntheticString>(instrument, voice);
}

}  // namespace endpin::simulator
