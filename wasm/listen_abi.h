#pragma once

#include <cstddef>
#include <cstdint>

/// The listening core for other languages: a thin C interface over timeline, dsp and listen. One
/// call at a time for each instance. All text is UTF-8; a length does not count a final zero.
extern "C" {

enum { endpin_place_values = 6 };

/// Memory of this module for what is passed in; null if there is none. Give it back with
/// endpin_free.
void* endpin_allocate(std::size_t bytes);
void endpin_free(void* memory);

/// The one thing that the host gives: it is called by endpin_hear now and then, on the same thread,
/// with the share done, 0…1, never less than before. In WebAssembly an import, "env"
/// "endpin_progress".
#ifdef __EMSCRIPTEN__
__attribute__((import_module("env"), import_name("endpin_progress")))
#endif
void endpin_progress(double share);

/// Hears `count` samples (one channel, ±1) at `rate_hz` as a playing of an `endpin.timeline/1`.
/// `tempo_bpm` (quarters) and `a4_hz` are 0 where they are to be found. `step` and `language` may
/// be empty. Returns `endpin.hearing/1` with its findings as text that ends in a zero byte, or
/// {"error":"…"}; null without memory. Give it back with endpin_free.
char* endpin_hear(const char* timeline, std::size_t timeline_length, const float* samples,
                  std::size_t count, double rate_hz, double tempo_bpm, double a4_hz,
                  const char* step, std::size_t step_length, const char* language,
                  std::size_t language_length);

/// Following a playing while it goes on, for a cursor. Begins with an `endpin.timeline/1`;
/// `tempo_bpm` (quarters) and `a4_hz` are 0 where they are to be found. Null where the timeline can
/// not be read, the rate is not from 8,000 to 192,000, or there is no memory. End it with
/// endpin_follow_end.
void* endpin_follow_begin(const char* timeline, std::size_t timeline_length, double rate_hz,
                          double tempo_bpm, double a4_hz);

/// Takes the next `count` samples, any number (an audio thread's 128, say), and returns the place
/// as endpin_place_values doubles that are overwritten by the next call: [0] index of the note that
/// began last, −1 while it is not known; [1] its onset, [2] up to where the sound has been
/// understood, both in seconds from the first sample on; [3] confidence 0…1; [4] how often playing
/// went on elsewhere; [5] quarters a minute, 0 while not known. Allocates nothing.
const double* endpin_follow(void* follower, const float* samples, std::size_t count);
void endpin_follow_end(void* follower);

/// 2: this interface.
std::int32_t endpin_listen_version();
}
