#pragma once

#include <list>
#include <memory>
#include <mutex>
#include <string>

#include "endpin/app/score_input.h"
#include "endpin/book/book.h"

namespace endpin::desk {

/// The scores of the pieces, read once and kept while they are in use. Thread-safe.
class ScoreShelf {
 public:
  using Score = std::shared_ptr<const app::ScoreInput>;

  explicit ScoreShelf(book::Book& book) : book_(book) {}
  Result<Score> get(const book::Piece& piece);

 private:
  struct Kept {
    std::string key;
    Score score;
  };
  book::Book& book_;
  std::mutex mutex_;
  std::list<Kept> kept_;  ///< most recently used first
};

/// How a piece's part is chosen in its file.
app::ScoreChoice choice(const book::Piece& piece);

/// What the list of pieces says about a score: parts, key, metre, bars, notes, warnings; JSON.
std::string piece_facts(const app::ScoreInput& input);

}  // namespace endpin::desk
