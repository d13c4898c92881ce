#pragma once

#include "endpin/book/book.h"

#include "engraver.h"
#include "events.h"
#include "fields.h"
#include "guard.h"
#include "hearing_queue.h"
#include "lesson_maker.h"
#include "marked_scores.h"
#include "router.h"
#include "score_shelf.h"
#include "sound_maker.h"

namespace endpin::desk {

/// What the routes work with. All of it is safe to use from several threads.
struct Services {
  book::Book& book;
  Events& events;
  ScoreShelf& scores;
  MarkedScores& marked;
  SoundMaker& sounds;
  LessonMaker& lessons;
  Engraver& engraver;
  HearingQueue& hearings;
  Guard& guard;
};

void add_book_routes(Router& router, Services services);
void add_student_routes(Router& router, Services services);
void add_piece_routes(Router& router, Services services);
void add_marking_routes(Router& router, Services services);
void add_sound_routes(Router& router, Services services);
void add_lesson_routes(Router& router, Services services);
void add_word_routes(Router& router, Services services);
void add_export_routes(Router& router, Services services);
void add_take_routes(Router& router, Services services);
void add_take_upload_routes(Router& router, Services services);
void add_event_routes(Router& router, Services services);
void add_bar_routes(Router& router, Services services);

/// A take as the interface says it, with its progress.
Json take_json(const Services& services, const book::Take& take);
/// The score that is drawn: MusicXML in which every note has its id.
Result<std::string> engraved_source(const Services& services, const book::Piece& piece);
/// The one that the call asks for with `lang`, or the book's.
Language language_of(const Services& services, const Call& call);
/// 404 if a take is to be of a student or a piece that is not there.
std::optional<Answer> check_owners(const Services& services, std::optional<book::Id> student,
                                   std::optional<book::Id> piece);
/// Tells every page that listens.
void tell_take(const Services& services, book::Id take);

}  // namespace endpin::desk
