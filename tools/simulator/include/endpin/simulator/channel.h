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

/// Automatic gain: pulls the level to -18 dBFS, down within 20 ms and up within 0.6 s, by at most
/// 24 dB, as phones do; pumps audibly.
void gain_control(Audio& audio);

/// Scales so that peaks lie `over` above full scale, and clips them.
void clip(Audio& audio, Decibels over);

/// A phone on a music stand: high-pass at 110 Hz, gain control, a little clipping.
void phone_microphone(Audio& audio);

}  // namespace endpin::simulator
