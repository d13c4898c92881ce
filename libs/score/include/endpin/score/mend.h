#pragma once

#include <optional>
#include <string>
#include <vector>

#include "endpin/score/score.h"

/// What a score that was read has wrong, put right over it, note by note.
namespace endpin {

/// One note put right. What is unset stays as it was read.
struct Mend {
  std::string id;     ///< of the note; a new note's own
  std::string after;  ///< of the note or rest that a new one stands behind; empty: none is new
  std::optional<SpelledPitch> pitch;  ///< as written; makes a note of a rest
  std::optional<NoteValue> value;
  std::optional<int> dots;
  bool rest = false;     ///< silent now; goes before `pitch`
  bool removed = false;  ///< gone; what follows in its voice moves up
  bool operator==(const Mend&) const = default;
};

/// `score` with `mends` over it, at most one a note: what is new first, what goes last. Of a tied
/// note all of what is tied gets the pitch; of a chord all get the value. What follows in the voice
/// moves, and a bar lasts as long as its notes: one that does not add up any more is among the
/// warnings. Slurs around what went away hold on to the neighbour, tuplets stay. Everything else,
/// ids too, is as it was; a mend of a note that is not there is passed over. O(notes + mends ·
/// notes of a bar).
Score mended(Score score, const std::vector<Mend>& mends);

/// The written note, or nothing.
const Note* find_note(const Score& score, std::string_view id);

}  // namespace endpin
