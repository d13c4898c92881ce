#pragma once

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/instrument/instrument.h"
#include "endpin/lesson/material.h"
#include "endpin/score/score.h"
#include "endpin/technique/house_rules.h"
#include "endpin/technique/markings.h"
#include "endpin/timeline/timeline.h"

/// One tune for violins, violas, cellos and basses at once.
namespace endpin {

/// What a line of a class set is for.
enum class SetLineKind {
  tune,          ///< the tune itself
  second,        ///< an easy second voice below it
  long_notes,    ///< for the newest: one note of the harmony a bar
  rhythm,        ///< for the newest: the tune's rhythm on one note
  open_strings,  ///< for the newest: the beat on open strings that fit the harmony
  warm_up,       ///< the scale, in unison or octaves
};
inline constexpr std::array all_set_lines{SetLineKind::tune,         SetLineKind::second,
                                          SetLineKind::long_notes,   SetLineKind::rhythm,
                                          SetLineKind::open_strings, SetLineKind::warm_up};
std::string_view name(SetLineKind kind);  ///< "long-notes"

/// One line of music for one instrument, in its clef and octave, bowed and fingered.
struct SetLine {
  SetLineKind kind = SetLineKind::tune;
  const Instrument* instrument = nullptr;
  Score score;  ///< of one part; its notes' ids begin with "violin-tune-"
  Timeline timeline;
  Markings markings;
  std::string hand;  ///< the step that its players have reached
  std::string step;  ///< the first of the instrument's steps that has all its notes; empty: none
  std::vector<std::string> strained;  ///< pitches ("C#3") that `hand` does not have
};

/// How a key lies for one instrument.
struct KeyForInstrument {
  const Instrument* instrument = nullptr;
  std::string step;                   ///< as SetLine::step
  std::vector<std::string> strained;  ///< as SetLine::strained
  int open_notes = 0;                 ///< notes of the tune that are open strings
};

/// A key that the tune could be played in.
struct KeyChoice {
  ScaleKey key;
  std::vector<KeyForInstrument> each;  ///< in the set's order
  bool in_hand() const;                ///< nothing is strained for anybody
};

struct ClassSet {
  ScaleKey key;
  std::string step;
  std::vector<SetLine> lines;   ///< by instrument, then by kind
  std::vector<KeyChoice> keys;  ///< all writable ones of the mode, the easiest first
  Score score;                  ///< the teacher's: every instrument's tune

  const SetLine* find(SetLineKind kind, InstrumentKind instrument) const;
  const KeyChoice& chosen() const;  ///< of `key`
};

struct ClassSetRequest {
  const Score* score = nullptr;
  int part = 0;                             ///< that has the tune
  std::string instrument;                   ///< that it is written for
  std::vector<InstrumentKind> instruments;  ///< the first leads: its bowing holds for all
  std::string step = "first-position";
  std::map<InstrumentKind, std::string> steps{};  ///< of those who have reached another than `step`
  std::set<SetLineKind> left_out{};               ///< lines that nobody wants; the tune stays
  /// Of the piece's notes: bows hold for all, fingers where the leader plays the part as it stands.
  std::vector<TeacherMarking> teacher{};
  std::optional<int> fifths{};  ///< another key of the same mode; else the tune's own
  std::vector<HouseRule> rules{};
};

/// Makes the set. The tune's pitch classes sound together at every time. A line that nothing can be
/// made for (no open string fits any bar) is left out. A pure function. Errors: no instruments, one
/// of them twice; a step that one of them does not have; nothing sounds in the part.
Result<ClassSet> make_class_set(const ClassSetRequest& request);

}  // namespace endpin
