#include "book_fixture.h"

namespace endpin::book {
namespace {

class BookClassSets : public BookTest {
 protected:
  Id add_set(Id piece) {
    ClassSet set;
    set.piece = piece;
    set.wanted = R"({"instruments":["violin"]})";
    return need(book->class_sets().add(set));
  }
};

TEST_F(BookClassSets, AreKeptWithTheirPiece) {
  const Id minuet = add_piece("Minuet", "x");
  const Id id = add_set(minuet);
  add_set(add_piece("Gavotte", "y"));
  reopen();
  const ClassSet kept = need(book->class_sets().find(id)).value();
  EXPECT_EQ(kept.piece_title, "Minuet");
  EXPECT_EQ(kept.state, "making");
  EXPECT_EQ(kept.wanted, R"({"instruments":["violin"]})");
  EXPECT_EQ(need(book->class_sets().list(minuet)).size(), 1u);
  EXPECT_EQ(need(book->class_sets().list({})).size(), 2u);
}

TEST_F(BookClassSets, KnowWhatWentWrong) {
  const Id id = add_set(add_piece("Minuet", "x"));
  ClassSet set = need(book->class_sets().find(id)).value();
  set.state = "failed";
  set.failure = Error{ErrorKind::machine, "sheets.pdf", "", "the disk is full", "Make room."};
  EXPECT_TRUE(need(book->class_sets().change(set)));
  EXPECT_EQ(need(book->class_sets().find(id))->failure->remedy, "Make room.");
  set.state = "making";
  set.failure.reset();
  need(book->class_sets().change(set));
  EXPECT_FALSE(need(book->class_sets().find(id))->failure.has_value());
}

TEST_F(BookClassSets, GoWithTheirPieceAndTheirFolder) {
  const Id piece = add_piece("Minuet", "x");
  const Id id = add_set(piece);
  const auto made = book->class_sets().folder(need(book->class_sets().find(id)).value());
  std::filesystem::create_directories(made);
  std::ofstream(made / "sheets.html") << "A-SET-0123";
  reopen();
  EXPECT_TRUE(on_disk("A-SET-0123"));
  EXPECT_TRUE(need(book->pieces().remove(piece)));
  EXPECT_FALSE(on_disk("A-SET-0123"));
  EXPECT_FALSE(need(book->class_sets().remove(id)));
}

}  // namespace
}  // namespace endpin::book
