#include <algorithm>
#include <cmath>
#include <numbers>

#include "endpin/simulator/sound.h"
#include "endpin/simulator/tunes.h"

namespace endpin::simulator {
namespace {

constexpr double sympathetic_db = -30;
constexpr double sympathetic_s = 0.7;

/// An open string that a stopped note of its pitch or octave set ringing.
void add_ringing(const PlayedNote& note, Hertz hz, Audio& out) {
  const double from = note.onset.value() + 0.15;
  const double rate = static_cast<double>(out.rate);
  const double level = std::pow(10.0, (sympathetic_db + note.level_db) / 20);
  const auto begin = static_cast<std::size_t>(from * rate);
  const auto end =
      std::min(out.samples.size(), static_cast<std::size_t>((note.offset.value() + 2) * rate));
  for (std::size_t i = begin; i < end; ++i) {
    const double t = static_cast<double>(i) / rate;
    const double in = std::min(1.0, (t - from) / 0.2);
    const double fall = std::exp(-std::max(0.0, t - note.offset.value()) / sympathetic_s);
    const double phase = 2 * std::numbers::pi * hz.value() * (t - from);
    const double tone = std::sin(phase) + 0.5 * std::sin(2 * phase) + 0.3 * std::sin(3 * phase);
    out.samples[i] += static_cast<float>(level * in * fall * tone);
  }
}

void add_sympathetic(const Performance& performance, const std::string& instrument, Audio& out) {
  const auto& strings = open_strings(instrument);
  for (const auto& note : performance.notes) {
    for (std::size_t s = 0; s < strings.size(); ++s) {
      const bool other = static_cast<int>(s) + 1 != note.string;
      const int above = note.midi - strings[s];
      const bool in_tune = std::abs(note.cents) < 15;
      if (other && in_tune && (above == 0 || above == 12)) {
        add_ringing(note, frequency(strings[s], performance.a4), out);
      }
    }
  }
}

}  // namespace

Audio render(const Performance& performance, const Sound& sound, const std::string& instrument,
             std::uint64_t seed, int rate) {
  Audio out{rate, {}};
  out.samples.resize(static_cast<std::size_t>(performance.length.value() * rate));
  Random random(seed);
  for (const auto& stroke : strokes_of(performance)) sound.add(stroke, random.fork(), out);
  add_sympathetic(performance, instrument.empty() ? "violin" : instrument, out);
  float peak = 1e-9F;
  for (const float s : out.samples) peak = std::max(peak, std::abs(s));
  for (float& s : out.samples) s *= 0.5F / peak;
  return out;
}

}  // namespace endpin::simulator
