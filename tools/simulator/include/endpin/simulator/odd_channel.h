#pragma once

#include <cstdint>

#include "endpin/base/audio.h"
#include "endpin/base/units.h"

/// What else befalls a recording on its way into a file, beside rooms and microphones (channel.h).
/// Each in place, deterministic.
namespace endpin::simulator {

/// Scaled so that its peak lies at `peak` dBFS and held in 16 bits.
void faint(Audio& audio, Decibels peak);

/// A constant beneath all samples, full scale 1.
void add_offset(Audio& audio, double offset);

/// White noise at a signal-to-noise ratio of `snr`, against the level of the parts that sound.
void add_hiss(Audio& audio, Decibels snr, std::uint64_t seed);

/// What a telephone's software does to all that is no voice: spectral subtraction (Boll 1979) of
/// three times the quietest tenth of each frequency, which is a little more than the mean of noise,
/// and a gate that closes 30 dB below the parts that sound.
void voice_processing(Audio& audio);

/// A tape whose speed swings by ± `share`, `rate` times a second.
void wow(Audio& audio, double share, Hertz rate);

/// Lines that stand all along: a fan's blades (118 Hz and its harmonics up to the fifth), a
/// transformer at 100 Hz and its harmonics, a whistle at 2,950 Hz; `snr` below the playing
/// together.
void add_machines(Audio& audio, Decibels snr);

/// A tuning device's tone: `hz` with harmonics that fall by 9 dB an octave, `below` the playing.
void add_drone(Audio& audio, Hertz hz, Decibels below);

}  // namespace endpin::simulator
