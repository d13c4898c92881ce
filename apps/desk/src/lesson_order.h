#pragma once

#include "endpin/hearing/hearing.h"
#include "endpin/lesson_folder/lesson_folder.h"

#include "marked_scores.h"

namespace endpin::desk {

/// What a take says about the next lesson: the findings that the teacher did not reject, as kinds
/// and bars alone, and the tempo that was clean. Nothing where it has not been heard.
Result<Hearing> answerable(book::Book& book, const book::Take& take);

/// The same from the words that the book keeps beside a lesson.
Hearing answered_by(const book::Lesson& lesson);

/// What plans a lesson on a piece: its score, the teacher's markings, rules and remarks, the step,
/// and what was heard last.
Result<app::LessonOrder> lesson_order(book::Book& book, const MarkedScore& marked,
                                      const book::Piece& piece, Language language,
                                      const Hearing& heard);

/// The same with all that the teacher chose for `lesson`.
Result<app::LessonOrder> lesson_order(book::Book& book, MarkedScores& scores,
                                      const book::Piece& piece, const book::Lesson& lesson);

/// What the lesson's take-home page may word by itself: the teacher's choice, or what is usual.
std::vector<std::string> kinds_to_say(const book::Lesson& lesson);

/// The language that lists and sheets are written in.
Language language_of(book::Book& book);

}  // namespace endpin::desk
