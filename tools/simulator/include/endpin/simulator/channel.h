#pragma once

#include <cstdint>

#include "endpin/base/audio.h"
#include "endpin/base/units.h"

/// What lies between the string and the file: room, noise, microphone. Each in place,
/// deterministic.
namespace endpin::simulator {

/// A room of noise that decays by 60 dB in `reverberation`, darker as it decays; as loud in all as
/// what comes directly. Convolution by FFT. The direct sound keeps its time.
void add_room(Audio& audio, Seconds reverberation, std::uint64_t seed);

/// Pink-like noise with a trace of hum at a signal-to-noise ratio of `snr`, against the level of
/// the parts that sound.
void add_noise(Audio& audio, Decibels snr, std::uint64_t seed);

/// Second-order high-pass (Butterworth).
void high_pass(Audio& audio, Hertz cutoff);

/// Fourth-order low-pass (Butterworth).
void low_pass(Audio& audio, Hertz cutoff);

/// Mains hum: the fundamental and its harmonics up to the ninth, the odd ones stronger, at a
/// signal-to-noise ratio of `snr`.
void add_hum(Audio& audio, Decibels snr, Hertz mains);

/// Gusts of wind below 200 Hz, the strongest `snr` below the playing, and now and then a knock on
/// the stand as loud as the playing: a thump that dies away within 60 ms.
void add_handling(Audio& audio, Decibels snr, std::uint64_t seed);

struct GainControl {
  Decibels goal{-18};
  Seconds down{0.02}, up{0.6};
  double most = 16;  ///< linear
};
/// One that hurries: silence is up by 30 dB after half a second, each loud note is cut down.
inline constexpr GainControl strong_gain_control{Decibels(-12), Seconds(0.005), Seconds(0.15), 40};

/// Automatic gain: pulls the level to a goal, down quickly and up slowly, by at most 24 dB, as
/// phones do; pumps audibly.
void gain_control(Audio& audio, const GainControl& control = {});

/// Scales so that peaks lie `over` above full scale, and clips them.
void clip(Audio& audio, Decibels over);

/// A phone on a music stand: high-pass at 110 Hz, gain control, a little clipping.
void phone_microphone(Audio& audio);

}  // namespace endpin::simulator
