#pragma once

#include <string>
#include <vector>

#include "endpin/technique/markings.h"

#include "score_shelf.h"

namespace endpin::desk {

/// A piece's part with the markings in force: printed, the teacher's above them, the rest proposed.
struct MarkedScore {
  book::Piece piece;
  ScoreShelf::Score score;
  book::Markings revision;
  Markings markings;
  Timeline timeline;  ///< with strings, fingers and strokes
};

/// Computed anew from the score and the teacher's newest word; a few milliseconds.
Result<MarkedScore> marked_score(book::Book& book, ScoreShelf& scores, const book::Piece& piece);

/// The teacher's word as the book keeps it: {"n12":{"finger":3,"string":2,"bow":"down"}}, by note.
std::vector<TeacherMarking> teacher_markings(const std::string& overrides);
std::string overrides_of(const std::vector<TeacherMarking>& markings);

}  // namespace endpin::desk
