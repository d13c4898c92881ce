#include <zip.h>

#include "book_fixture.h"

namespace endpin::book {
namespace {

class Backup : public BookTest {
 protected:
  std::filesystem::path file() const { return root / "week.endpin-book"; }
};

TEST_F(Backup, RestoredElsewhereIsTheSameBook) {
  const Id ada = add_student("Ada");
  const Id piece = add_piece("Minuet", "<score/>");
  const Id take = add_take("sound", ada, piece);
  need(book->back_up(file()));
  book.reset();
  std::filesystem::remove_all(folder());
  need(restore_book(file(), folder()));
  reopen();
  EXPECT_EQ(need(book->students().find(ada))->name, "Ada");
  const Take read = need(book->takes().find(take)).value();
  EXPECT_EQ(read.piece_title, "Minuet");
  EXPECT_TRUE(on_disk("sound"));
  EXPECT_TRUE(on_disk("<score/>"));
}

TEST_F(Backup, IsNotWrittenHalf) {
  const auto done = book->back_up(root / "no-such-folder" / "x");
  ASSERT_FALSE(done.has_value());
  EXPECT_EQ(done.error().kind, ErrorKind::machine);
  EXPECT_FALSE(std::filesystem::exists(root / "no-such-folder"));
  EXPECT_TRUE(std::filesystem::is_empty(folder() / "incoming"));
}

TEST_F(Backup, IsNotRestoredOverABook) {
  need(book->back_up(file()));
  EXPECT_FALSE(restore_book(file(), folder()).has_value());
}

TEST_F(Backup, ThatReachesOutsideTheFolderIsRefused) {
  int code = 0;
  zip_t* zip = zip_open(file().c_str(), ZIP_CREATE, &code);
  for (const char* name : {"book.sqlite3", "takes/../../escaped"}) {
    zip_file_add(zip, name, zip_source_buffer(zip, "x", 1, 0), 0);
  }
  ASSERT_EQ(zip_close(zip), 0);
  const auto restored = restore_book(file(), root / "new");
  ASSERT_FALSE(restored.has_value());
  EXPECT_EQ(restored.error().kind, ErrorKind::input);
  EXPECT_FALSE(std::filesystem::exists(root / "escaped"));
  EXPECT_FALSE(std::filesystem::exists(root / "new"));
}

TEST_F(Backup, ThatIsNoneIsRefused) {
  std::ofstream(file()) << "not a zip";
  EXPECT_FALSE(restore_book(file(), root / "new").has_value());
  EXPECT_FALSE(restore_book(root / "missing", root / "new").has_value());
}

}  // namespace
}  // namespace endpin::book
