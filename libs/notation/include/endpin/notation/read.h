#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "endpin/base/result.h"
#include "endpin/score/score.h"

namespace endpin {

/// What a file's content shows it to be; its name is not asked.
enum class Format { musicxml, compressed_musicxml, abc, midi };
std::optional<Format> sniff_format(std::string_view bytes);

struct ReadOptions {
  std::string file;         ///< for messages only
  std::optional<int> tune;  ///< the X: number in an ABC file of many tunes; the first if not said
};

/// The largest file that is read, and the largest that a compressed one may grow to. Ours: ten
/// times a full orchestral score.
inline constexpr std::size_t most_score_bytes = std::size_t{48} << 20;

/// Reads MusicXML 4.0 (partwise or timewise, UTF-8, UTF-16 or Latin-1, .mxl), ABC 2.1, or a
/// Standard MIDI File. A pure function of its arguments; linear in `bytes`. Lenient where the music
/// is clear, with a warning in the score where it is not; an error only where it cannot be known.
Result<Score> read_score(std::string_view bytes, const ReadOptions& options = {});

}  // namespace endpin
