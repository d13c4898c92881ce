#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "endpin/timeline/timeline.h"

/// Tunes of chance for the evaluation: plain, singable, in first position, never of anyone.
namespace endpin::simulator {

/// Where a note lies in first position.
struct Stop {
  int string = 1;  ///< 1 is the highest
  int finger = 0;  ///< 0 open … 4 little
};
/// Open strings as MIDI numbers, the highest first. "violin", "viola", "cello", "bass".
const std::vector<int>& open_strings(const std::string& instrument);
/// In first position, extensions included; empty where the hand does not reach. Cello, violin and
/// viola after the common frames of the hand; bass 1-2-4.
std::optional<Stop> first_position(const std::string& instrument, int midi);

struct TuneOptions {
  std::string instrument = "cello";
  int bars = 12;
  int beats = 4;   ///< quarters a bar: 3 or 4
  int fifths = 1;  ///< major key by its sharps
  double bpm = 84;
  bool slurs = true;     ///< pairs of eighths and longer groups under slurs
  bool staccato = true;  ///< some quarters with dots
  bool rests = true;
  bool repeat = false;    ///< the first half is played twice
  bool chromatic = true;  ///< a few notes altered by accidentals of their own
  int lowest_midi = 0;    ///< notes outside are not used; 0 and 127 leave the range open
  int highest_midi = 127;
  std::uint64_t seed = 1;
};

/// Ends on a long tonic; bars 2 and 6 are twins: the same pitches in two rhythms.
Timeline random_tune(const TuneOptions& options);

}  // namespace endpin::simulator
