#pragma once

#include <cstddef>
#include <cstdint>

/// The listening core for other languages: a thin C interface over timeline, dsp and listen. One
/// call at a time for each instance. All text is UTF-8; a length does not count a final zero.
extern "C" {

/// Memory of this module for what is passed in; null if there is none. Give it back with
/// endpin_free.
void* endpin_allocate(std::size_t bytes);
void endpin_free(void* memory);

/// Hears `count` samples (one channel, ±1) at `rate_hz` as a playing of an `endpin.timeline/1`.
/// `tempo_bpm` (quarters) and `a4_hz` are 0 where they are to be found. `step` and `language` may
/// be empty. Returns `endpin.hearing/1` with its findings as text that ends in a zero byte, or
/// {"error":"…"}; null without memory. Give it back with endpin_free.
char* endpin_hear(const char* timeline, std::size_t timeline_length, const float* samples,
                  std::size_t count, double rate_hz, double tempo_bpm, double a4_hz,
                  const char* step, std::size_t step_length, const char* language,
                  std::size_t language_length);

/// 1: this interface.
std::int32_t endpin_listen_version();
}
