#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "endpin/base/beats.h"
#include "endpin/base/pitch.h"

/// The four bowed strings as data. Pitches are sounding ones (a double bass is written an octave
/// higher). Strings count from 1, the highest; places on a string are semitones above the open one.
namespace endpin {

enum class InstrumentKind { violin, viola, cello, bass };

inline constexpr std::array<InstrumentKind, 4> all_instruments{
    InstrumentKind::violin, InstrumentKind::viola, InstrumentKind::cello, InstrumentKind::bass};

/// A playing size and the length of its strings between nut and bridge, millimetres.
struct Size {
  std::string_view name;  ///< "4/4", "1/2"
  double shortest_mm = 0;
  double longest_mm = 0;
};

/// A place of the hand that has a name. Schools differ in the names, so places are semitones and
/// the name is a key of the catalogue.
struct Position {
  std::string_view key;  ///< "position.first", "position.lower-second"
  int number = 1;        ///< 0 half, 1 first, 2 second …: what is printed on a part
  int lowest_first = 2;  ///< of the first finger above the open string, semitones
  int highest_first = 2;
};

/// How far from its natural reach a hand is stretched.
enum class Extension { none, backward, forward };

inline constexpr int no_finger = -100;

/// Where the fingers of one hand fall, in semitones from the hand's place (that of the first finger
/// in the closed hand). For hands that are counted in semitones: cello and double bass.
struct HandFrame {
  std::string_view key;          ///< "hand.closed", "hand.thumb"
  std::array<int, 4> fingers{};  ///< of fingers 1 to 4; `no_finger` where one is not used
  int thumb = no_finger;         ///< in thumb position
  Extension extension = Extension::none;
  int lowest_hand = 1;  ///< the places where this frame is used, inclusive
  int highest_hand = 7;
};

/// How a hand is described: by letter names (violin, viola: the second finger plays the next
/// letter, low or high) or by semitones (cello, double bass).
enum class HandCount { letters, semitones };

/// What a step of learning lets the hand do.
struct Reach {
  std::string_view step;  ///< one of the steps' ids, "first-position"
  int lowest_hand = 2;    ///< places of the hand, as `Stop::hand` counts them
  int highest_hand = 2;
  bool extensions = false;
  bool thumb = false;
  /// Semitones above the open string that are played at all: 0 where only open strings are.
  int highest_stopped = 100;
};

enum class ClefName { treble, alto, tenor, bass };

struct Instrument {
  InstrumentKind kind = InstrumentKind::cello;
  std::string_view name;                ///< "violin", "viola", "cello", "bass"
  std::array<SpelledPitch, 4> strings;  ///< sounding, [0] is string 1
  std::span<const Size> sizes;          ///< full size first
  HandCount count = HandCount::semitones;
  std::span<const Position> positions;  ///< ascending
  std::span<const HandFrame> frames;    ///< empty where the hand is counted in letters
  std::span<const Reach> reaches;       ///< one a step, in the order of learning
  ClefName clef = ClefName::bass;
  int written_octave = 0;              ///< octaves that it is written above where it sounds
  int highest_midi = 81;               ///< practical top for a good player, sounding
  bool fourth_finger_or_open = false;  ///< the hand has both in first position

  const SpelledPitch& open(int string) const {
    return strings[static_cast<std::size_t>(string - 1)];
  }
  int lowest_midi() const { return strings[3].midi(); }
};

const Instrument& instrument(InstrumentKind kind);
/// By `Instrument::name`, any case; also "violoncello", "double bass", "contrabass".
const Instrument* find_instrument(std::string_view name);

/// The reach of a step; of the last one if `step` is empty or unknown.
const Reach& reach(const Instrument& instrument, std::string_view step);

/// The position that a hand with its first finger at `first_finger` semitones stands in.
const Position& position_at(const Instrument& instrument, int first_finger);

/// "A", "D": the string as players call it, without an octave.
std::string string_letter(const Instrument& instrument, int string);

/// Distance from the nut on a string of `length_mm`: L (1 - 2^(-n/12)).
double nut_to_finger_mm(double length_mm, int semitones);

}  // namespace endpin
