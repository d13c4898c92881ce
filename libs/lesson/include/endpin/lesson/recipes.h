#pragma once

#include <functional>
#include <vector>

#include "endpin/base/pitch.h"
#include "endpin/lesson/line.h"

/// What can be made of a line so that one thing at a time is practised. Pure: lines in, lines out.
/// None changes the length of a bar; all keep to the pitches of the line or to open strings.
namespace endpin {

/// Every note as repeated notes of `unit`, so that its length is counted out. Tuplets and notes not
/// a multiple of `unit` stay.
Phrase subdivided(const Phrase& line, Beats unit);

/// The rhythm alone: every note on `pitch`, with the line's slurs and marks.
Phrase on_one_pitch(const Phrase& line, SpelledPitch pitch);

/// The bow's way alone: each note on what `open_string` gives for its place among the pitched ones.
Phrase on_open_strings(const Phrase& line, const std::function<SpelledPitch(int)>& open_string);

/// The first two notes, the first three, … up to all, or to `most` at the longest; each a phrase.
/// A tie counts with the note that it prolongs.
std::vector<Phrase> growing(const Phrase& line, int most);

/// The line in separate bows.
Phrase without_slurs(const Phrase& line);

/// Notes of one beat in one bow, where at least two follow each other without a slur of their own.
Phrase slurred_by_beat(const Phrase& line, Beats beat);

enum class Dotting { long_short, short_long };
/// Pairs of equal notes of `value` as three parts and one. Others stay.
Phrase dotted(const Phrase& line, Beats value, Dotting dotting);

/// The note before a shift, time to move, the note after it; each lasts `value`, the move as well.
Phrase shift_frame(const LineNote& before, const LineNote& after, Beats value);

/// What is written so that `sounding` sounds under `transpose`.
SpelledPitch written_pitch(SpelledPitch sounding, const Transposition& transpose);

}  // namespace endpin
