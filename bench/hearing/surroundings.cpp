#include "surroundings.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "endpin/simulator/channel.h"
#include "endpin/simulator/odd_channel.h"
#include "endpin/simulator/random.h"

#include "codec.h"
#include "mixing.h"
#include "speech.h"

namespace endpin::evaluation {
namespace {

using namespace simulator;

/// A usual room and microphone, in which all of this happens.
Audio in_a_room(Audio audio, std::uint64_t seed) {
  add_room(audio, Seconds(0.4), seed);
  add_noise(audio, Decibels(35), seed);
  return audio;
}

float peak(const Audio& audio) {
  float most = 0;
  for (const float s : audio.samples) most = std::max(most, std::abs(s));
  return most;
}

/// A short tone that dies away.
struct Knock {
  double hz = 1500, dies_s = 0.008, noise = 0;
};

void add_knock(Audio& audio, Seconds at, const Knock& knock, double level, Random& random) {
  const auto from = static_cast<std::size_t>(std::max(0.0, at.value()) * audio.rate);
  const auto length = static_cast<std::size_t>(8 * knock.dies_s * audio.rate);
  for (std::size_t i = 0; i < length && from + i < audio.samples.size(); ++i) {
    const double t = static_cast<double>(i) / audio.rate;
    const double x = std::sin(2 * std::numbers::pi * knock.hz * t) + knock.noise * random.normal();
    audio.samples[from + i] += static_cast<float>(level * x * std::exp(-t / knock.dies_s));
  }
}

/// Knocks on all beats, or all halves of beats: as steady as a device that the player follows,
/// ahead or behind by up to 40 ms in all, each beat by a little of its own.
Audio on_beats(Audio audio, const Scene& scene, const Knock& knock, double level, double spread_s) {
  Random random(scene.seed + 77);
  const double every = scene.seed % 2 == 0 ? 1 : 0.5;
  const double ahead = random.uniform(-0.04, 0.04);
  for (const Seconds beat : beat_times(scene.timeline, scene.placed, every)) {
    add_knock(audio, beat + Seconds(ahead + random.within(spread_s, 2 * spread_s)), knock, level,
              random);
  }
  return audio;
}

Audio faint_file(Audio audio, const Scene& scene) {
  audio = in_a_room(std::move(audio), scene.seed);
  faint(audio, Decibels(-50));
  return audio;
}
Audio offset(Audio audio, const Scene& scene) {
  audio = in_a_room(std::move(audio), scene.seed);
  add_offset(audio, 0.2);
  return audio;
}
Audio old_recorder(Audio audio, const Scene& scene) {
  return through_codec(in_a_room(std::move(audio), scene.seed), Codec::mp3_32k_11khz);
}
Audio hiss(Audio audio, const Scene& scene) {
  audio = in_a_room(std::move(audio), scene.seed);
  add_hiss(audio, Decibels(5), scene.seed);
  return audio;
}
Audio call(Audio audio, const Scene& scene) {
  add_room(audio, Seconds(0.4), scene.seed);
  add_noise(audio, Decibels(20), scene.seed);
  voice_processing(audio);
  gain_control(audio);
  return through_codec(audio, Codec::opus_24k);
}
Audio tape(Audio audio, const Scene& scene) {
  audio = in_a_room(std::move(audio), scene.seed);
  wow(audio, 0.01, Hertz(0.6));
  add_noise(audio, Decibels(25), scene.seed + 1);
  return audio;
}
Audio church(Audio audio, const Scene& scene) {
  add_room(audio, Seconds(2.5), scene.seed);
  add_noise(audio, Decibels(40), scene.seed);
  return audio;
}
Audio overdriven(Audio audio, const Scene& scene) {
  audio = in_a_room(std::move(audio), scene.seed);
  clip(audio, Decibels(12));
  return audio;
}
Audio talk(Audio audio, const Scene& scene) {
  audio = in_a_room(std::move(audio), scene.seed);
  const auto said = speech(scene.cache, rehearsal_words);
  if (!said) return audio;
  Audio all{audio.rate, {}};
  while (all.samples.size() < audio.samples.size()) all = joined(all, at_rate(*said, audio.rate));
  return among(std::move(audio), std::move(all), Decibels(6));
}
Audio metronome(Audio audio, const Scene& scene) {
  const double level = 0.7 * static_cast<double>(peak(audio));
  audio = on_beats(std::move(audio), scene, {scene.seed % 3 == 0 ? 900.0 : 1800.0, 0.006, 0.3},
                   level, 0.003);
  return in_a_room(std::move(audio), scene.seed);
}
Audio foot(Audio audio, const Scene& scene) {
  const double level = 0.5 * static_cast<double>(peak(audio));
  audio = on_beats(std::move(audio), scene, {75, 0.025, 0.25}, level, 0.02);
  return in_a_room(std::move(audio), scene.seed);
}
Audio piano_beside(Audio audio, const Scene& scene, double below_db) {
  auto others = piano(scene.timeline, scene.placed, audio.duration(), audio.rate, scene.seed);
  return in_a_room(among(std::move(audio), std::move(others), Decibels(below_db)), scene.seed);
}
Audio piano_softer(Audio audio, const Scene& scene) {
  return piano_beside(std::move(audio), scene, 6);
}
Audio piano_as_loud(Audio audio, const Scene& scene) {
  return piano_beside(std::move(audio), scene, 0);
}
Audio duet(Audio audio, const Scene& scene) {
  auto other = duet_partner(scene.timeline, scene.placed, audio.duration(), audio.rate, scene.voice,
                            scene.seed);
  return in_a_room(among(std::move(audio), std::move(other), Decibels(3)), scene.seed);
}
Audio machines(Audio audio, const Scene& scene) {
  audio = in_a_room(std::move(audio), scene.seed);
  add_machines(audio, Decibels(10));
  return audio;
}
Audio drone(Audio audio, const Scene& scene) {
  audio = in_a_room(std::move(audio), scene.seed);
  add_drone(audio, Hertz(scene.seed % 2 == 0 ? 440 : 220), Decibels(9));
  return audio;
}

}  // namespace

const std::vector<Surrounding>& surroundings() {
  static const std::vector<Surrounding> all{{"peak at -50 dBFS, 16 bit", faint_file},
                                            {"offset of a fifth of full scale", offset},
                                            {"MP3, 32 kbit/s, 11 kHz", old_recorder},
                                            {"white noise, 5 dB", hiss},
                                            {"a call's voice processing, Opus", call},
                                            {"tape that swings by 1 %", tape},
                                            {"room 2.5 s", church},
                                            {"clipped 12 dB over", overdriven},
                                            {"talk over it, -6 dB", talk},
                                            {"metronome all through", metronome},
                                            {"foot on the beats", foot},
                                            {"piano, -6 dB", piano_softer},
                                            {"piano, as loud", piano_as_loud},
                                            {"duet with viola or cello, -3 dB", duet},
                                            {"fan, transformer, whistle, 10 dB", machines},
                                            {"tuner's A all along, -9 dB", drone}};
  return all;
}

}  // namespace endpin::evaluation
