#pragma once

#include <list>
#include <memory>
#include <mutex>

#include "endpin/technique/markings.h"

#include "score_shelf.h"

namespace endpin::desk {

/// A piece as it is used everywhere: its score with the markings in force.
struct MarkedScore {
  ScoreShelf::Score score;
  const Instrument* instrument = nullptr;
  std::vector<TeacherMarking> teacher;
  std::vector<HouseRule> rules;  ///< the book's
  Markings markings;
  Timeline timeline;     ///< with strings, fingers and strokes
  std::string musicxml;  ///< with the markings written in, as far as a player needs telling
  book::Revision kept;   ///< of the markings
};

/// Marks pieces and keeps the last ones. Thread-safe.
class MarkedScores {
 public:
  using Marked = std::shared_ptr<const MarkedScore>;
  MarkedScores(book::Book& book, ScoreShelf& scores) : book_(book), scores_(scores) {}
  Result<Marked> get(const book::Piece& piece);

 private:
  struct Kept {
    std::string key;
    Marked marked;
  };
  book::Book& book_;
  ScoreShelf& scores_;
  std::mutex mutex_;
  std::list<Kept> kept_;  ///< most recently used first
};

/// The teacher's markings as the book keeps them: {"n12":{"finger":3,"string":2,"bow":"down"}}.
std::vector<TeacherMarking> teacher_markings(const std::string& overrides);
std::string overrides_text(const std::vector<TeacherMarking>& markings);
/// What of them holds in another key: fingers and strings belonged to other pitches.
std::string bows_alone(const std::string& overrides);

}  // namespace endpin::desk
