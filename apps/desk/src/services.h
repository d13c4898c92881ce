#pragma once

#include "endpin/book/book.h"

#include "class_set_maker.h"
#include "engraver.h"
#include "events.h"
#include "fields.h"
#include "guard.h"
#include "hearing_queue.h"
#include "lesson_maker.h"
#include "lesson_order.h"
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
  ClassSetMaker& class_sets;
  Engraver& engraver;
  HearingQueue& hearings;
  Guard& guard;
};

void add_book_routes(Router& router, Services services);
void add_student_routes(Router& router, Services services);
void add_piece_routes(Router& router, Services services);
void add_marking_routes(Router& router, Services services);
void add_mend_routes(Router& router, Services services);
void add_transpose_routes(Router& router, Services services);
void add_sound_routes(Router& router, Services services);
void add_lesson_routes(Router& router, Services services);
void add_word_routes(Router& router, Services services);
void add_export_routes(Router& router, Services services);
void add_draft_routes(Router& router, Services services);
void add_draft_check_routes(Router& router, Services services);
void add_take_routes(Router& router, Services services);
void add_take_item_routes(Router& router, Services services);
void add_take_upload_routes(Router& router, Services services);
void add_event_routes(Router& router, Services services);
void add_bar_routes(Router& router, Services services);
void add_class_set_routes(Router& router, Services services);

/// A piece of the book, or the answer that there is none.
using FoundPiece = std::variant<book::Piece, Answer>;
FoundPiece find_piece(const Services& services, book::Id id);
/// What a route does with the piece that its call names.
using PieceAction = Answer (*)(const Services&, const Call&, const book::Piece&);
Handler on_piece(Services services, PieceAction act);
/// A take as the interface says it, with its progress.
Json take_json(const Services& services, const book::Take& take);
/// A lesson as the interface says it.
Json lesson_json(const Services& services, const book::Lesson& lesson);
/// A class set as the interface says it, with how far its making is.
Json class_set_json(const Services& services, const book::ClassSet& set);
/// What a call says of how to play: tempo, bars, click and so on; the answer is the refusal.
std::optional<Answer> read_perform_options(const Call& call, PerformOptions& options);
/// The sound of a timeline, or with `times` where each note is in it.
Answer sound_answer(const Services& services, const Call& call, const Timeline& timeline,
                    const PerformOptions& options, bool times);
/// The pages of a score, drawn or waited for; events tell of it under `piece`.
Answer engraving_answer(const Services& services, const Call& call, book::Id piece,
                        const std::string& musicxml);
/// A piece as the interface says it.
Answer piece_answer(const Services& services, book::Id id, int status = 200);
/// Has the part drawn before it is looked at.
void draw_ahead(const Services& services, const book::Piece& piece);
/// Keeps what else is known of the piece by its score: bars, key, what is to query.
Result<void> renew_facts(const Services& services, book::Piece piece);
/// The part that is drawn: MusicXML in which every note has its id, as it was printed. The page
/// puts the markings in force over it, so that a change of one draws nothing anew.
Result<std::string> engraved_source(const Services& services, const book::Piece& piece);
/// The one that the call asks for with `lang`, or the book's.
Language language_of(const Services& services, const Call& call);
/// 404 if a take is to be of a student or a piece that is not there.
std::optional<Answer> check_owners(const Services& services, std::optional<book::Id> student,
                                   std::optional<book::Id> piece);
/// A take of a lesson is of the lesson's piece unless it says otherwise; 404 without such a lesson.
std::optional<Answer> follow_lesson(const Services& services, book::Take& take);
/// "2026-03-01", with or without a time of day.
bool plausible_moment(const std::string& text);
/// Tells every page that listens.
void tell_take(const Services& services, book::Id take);

}  // namespace endpin::desk
