#pragma once

#include "endpin/hearing/hearing.h"
#include "endpin/lesson/lesson.h"
#include "endpin/listen/apart.h"

#include "marked_scores.h"

namespace endpin::desk {

/// One thing that a take may hold: the piece, or an exercise that its lesson sent home.
struct TakeItem {
  std::string key = "piece";
  ItemKind kind = ItemKind::piece;
  Sentence title;
  std::vector<std::string> bars{};  ///< of the piece, that an exercise is for
  Timeline timeline;
  std::string musicxml{};  ///< of an exercise
};

/// What the take may hold: the piece first, then the exercises of its lesson, or of the newest one
/// on the piece that its student had been given when it came in. An exercise that is nothing but
/// bars of the piece is among them only where the take says that it holds it.
std::vector<TakeItem> items_of(book::Book& book, MarkedScores& scores, const book::Take& take,
                               const book::Piece& piece, const MarkedScore& marked);

/// An item that was heard, as the take's folder keeps it.
struct HeardItem {
  int item = 0;  ///< 0: the piece
  std::string key;
  std::string kind;
  Sentence title;
  std::vector<std::string> bars;
};

/// Keeps in the take's `folder` what was heard of each item, and which there are. The finding's ids
/// are made different from item to item.
Result<void> keep_items(const std::filesystem::path& folder, const std::vector<TakeItem>& items,
                        std::vector<ItemHearing>& heard);

/// Those of a take that was heard, the piece first.
std::vector<HeardItem> heard_items(const std::filesystem::path& folder);
Result<Hearing> hearing_of(const std::filesystem::path& folder, int item);
/// REQUIRES: `item` is an exercise's.
Result<Timeline> exercise_timeline(const std::filesystem::path& folder, int item);
Result<std::string> exercise_musicxml(const std::filesystem::path& folder, int item);

/// The files of a take's folder that hold what was heard, for an export.
std::vector<std::filesystem::path> hearing_files(const std::filesystem::path& folder);

}  // namespace endpin::desk
