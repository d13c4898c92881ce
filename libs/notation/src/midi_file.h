#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"

#include "messages.h"

/// The events of a Standard MIDI File 1.0, before anything is made of them.
namespace endpin::notation {

using Ticks = std::int64_t;

struct MidiNote {
  Ticks start = 0;
  Ticks end = 0;
  int pitch = 60;
  int channel = 0;  ///< from 0
};

struct MidiTempo {
  Ticks at = 0;
  double quarters_per_minute = 120;
};

struct MidiMetre {
  Ticks at = 0;
  int beats = 4;
  int beat_type = 4;
};

struct MidiKey {
  Ticks at = 0;
  int fifths = 0;
  bool minor = false;
};

struct MidiTrack {
  std::string name;
  std::map<int, int> programs;  ///< by channel, 1…128: the first that it sets
  std::vector<MidiNote> notes;  ///< in order of their ends
  std::vector<MidiTempo> tempi;
  std::vector<MidiMetre> metres;
  std::vector<MidiKey> keys;
};

struct MidiFile {
  int format = 0;
  Ticks ticks_per_quarter = 480;
  std::vector<MidiTrack> tracks;
};

/// A number of up to four bytes of seven bits, the first the highest; moves `at` past it. nullopt
/// if it breaks off or is longer. (SMF 1.0, "variable-length quantity")
std::optional<std::uint32_t> variable_length(std::string_view bytes, std::size_t& at);

bool is_midi(std::string_view bytes);

/// Errors: no header, or tracks that cannot be read at all; what is damaged further on is read up
/// to the damage, with a warning.
Result<MidiFile> parse_midi(std::string_view bytes, Messages& messages);

}  // namespace endpin::notation
