#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/pitch.h"
#include "endpin/score/score.h"

/// A line of music while an exercise is made of it: notes in a row, no bars yet.
namespace endpin {

struct LineNote {
  std::optional<SpelledPitch> pitch;       ///< written; nothing is a rest
  Beats duration{1};                       ///< quarters, above 0
  std::optional<WrittenDuration> written;  ///< kept for tuplets, which are never split
  std::vector<Tuplet> tuplets;
  bool tie_start = false;
  bool tie_stop = false;
  bool slur_start = false;
  bool slur_stop = false;
  bool plucked = false;
  std::vector<Articulation> articulations;
  NoteMarkings printed;

  bool in_tuplet() const { return written && written->actual_notes != written->normal_notes; }
};

using Phrase = std::vector<LineNote>;

LineNote line_note(SpelledPitch pitch, Beats duration);
LineNote line_rest(Beats duration);
Beats length(const Phrase& phrase);

/// The line of the first voice of `bar`: the highest note of each chord, graces and cues left out,
/// holes filled with rests. Ties and slurs that lead out of the bar end at its edges.
Phrase line_of(const Bar& bar);

/// The longest single written values that make up `duration`, longest first: 5/2 is a half and an
/// eighth. Nothing if only a tuplet could.
std::vector<WrittenDuration> written_values(Beats duration);

/// Phrases laid into bars of `time`. Each begins on a bar line, and rests fill its last bar; what
/// crosses a bar line is tied. Bars are numbered from 1. REQUIRES: every length can be written.
std::vector<Bar> lay_into_bars(const std::vector<Phrase>& phrases, const TimeSignature& time);

/// What an exercise takes over from the part that it is for.
struct Ground {
  Part part;  ///< its name, sound and transposition; without bars
  KeySignature key;
  TimeSignature time;
  Clef clef;
};
/// As in force at bar `bar` of `part`. REQUIRES: it is there.
Ground ground_at(const Part& part, int bar);

/// A score of one part: `bars` with the ground's signatures at the beginning, a final bar line, ids
/// "`key`-n1", "`key`-n2"… With `repeat` it is played twice, to a repeat sign.
Score exercise_score(const Ground& ground, std::vector<Bar> bars, std::string_view key,
                     bool repeat = false);

/// Bars `first` … of `part` as they are written, but without jumps, repeats and words, and with
/// ties and slurs ended at the edges. REQUIRES: they are there.
std::vector<Bar> excerpt(const Part& part, int first, int count);

}  // namespace endpin
