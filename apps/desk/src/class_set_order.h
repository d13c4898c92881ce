#pragma once

#include "endpin/lesson_folder/class_set_folder.h"

#include "fields.h"
#include "marked_scores.h"

namespace endpin::desk {

/// Takes over who plays, from which step, in which key, and what is wanted beside the tune.
void read(Fields& fields, app::ClassSetOrder& order);
/// What `read` takes, said in the words of a query: instruments=violin,cello
/// steps=violin:slurs,cello:extensions fifths=2 lines=second,rhythm tempo_bpm=80
Json class_set_members(const Call& call);

/// A set of the piece as it is marked now, for everybody in first position; `read` changes that.
Result<app::ClassSetOrder> class_set_order(book::Book& book, MarkedScores& scores,
                                           const book::Piece& piece);
/// The same as a set in the book wants it.
Result<app::ClassSetOrder> class_set_order(book::Book& book, MarkedScores& scores,
                                           const book::Piece& piece, const book::ClassSet& set);

}  // namespace endpin::desk
