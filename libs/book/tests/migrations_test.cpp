#include "migrations.h"

#include "book_fixture.h"

namespace endpin::book {
namespace {

// What a book of each version may hold: filled in at that version, read by the newest.
const char* fill_version_1 =
    "INSERT INTO students (id,name,instrument,size,step,language,rules,consent_by,consent_on,"
    "consent_note,archived,created) VALUES (7,'Ada','cello','1/2','','de','','mother','2026-01-01',"
    "'',0,'2026-01-01T00:00:00Z');"
    "INSERT INTO senders (sender,student) VALUES ('mum',7);"
    "INSERT INTO pieces (id,title,composer,rights,file_name,folder_name,sha256,bytes,part,tune,"
    "instrument,step,tempo_bpm,facts,added,markings_revision) VALUES "
    "(3,'Minuet','','','m.musicxml','p1','h',1,0,NULL,'cello','',NULL,"
    "'{}','2026-01-01T00:00:00Z',0);"
    "INSERT INTO takes (id,file_name,folder_name,sha256,bytes,student,piece,sender,received,"
    "delete_after,state) VALUES (9,'VID.mp4','t1','h2',1,7,3,'','2026-01-01T00:00:00Z',"
    "'2099-01-01','heard');";

const char* fill_version_2 =
    "INSERT INTO decisions VALUES (9,'f0-1','rejected','','2026-01-02T00:00:00Z');";

class Migrations : public testing::TestWithParam<int> {};

TEST_P(Migrations, FromEveryEarlierVersionKeepWhatIsThere) {
  const auto folder = std::filesystem::temp_directory_path() / ("endpin-migrate-" + random_hex(6));
  std::filesystem::create_directories(folder);
  {
    auto database = need(Database::open(folder / "book.sqlite3"));
    need(migrate(*database, GetParam()));
    EXPECT_EQ(need(database->number("PRAGMA user_version")), GetParam());
    if (GetParam() >= 1) need(database->run(fill_version_1));
    if (GetParam() >= 2) need(database->run(fill_version_2));
  }
  {
    const auto book = need(open_book(folder));
    if (GetParam() >= 1) {
      const Take take = need(book->takes().find(9)).value();
      EXPECT_EQ(take.student_name, "Ada");
      EXPECT_EQ(take.piece_title, "Minuet");
      EXPECT_EQ(need(book->pieces().find(3))->mends, "");
      need(book->pieces().set(Kept::mends, 3, "{}"));
      EXPECT_EQ(need(book->pieces().find(3))->mends, "{}");
      EXPECT_EQ(need(book->students().find(7))->consent->by, "mother");
      EXPECT_EQ(need(book->takes().students_of_sender("mum")), std::vector<Id>{7});
      EXPECT_EQ(need(book->students().token(7))->size(), 32u);
    }
    if (GetParam() >= 2) {
      EXPECT_FALSE(need(book->words().knows_findings(9)));
      EXPECT_EQ(need(book->words().decisions(9)).at(0).finding, "f0-1");
    }
    EXPECT_GT(need(book->students().add(Student{})), 0);
  }
  std::filesystem::remove_all(folder);
}

INSTANTIATE_TEST_SUITE_P(EveryVersion, Migrations, testing::Range(0, newest_version() + 1));

TEST(Migrations, LeaveABookOfANewerVersionAlone) {
  const auto folder = std::filesystem::temp_directory_path() / ("endpin-migrate-" + random_hex(6));
  std::filesystem::create_directories(folder);
  {
    auto database = need(Database::open(folder / "book.sqlite3"));
    need(database->run("PRAGMA user_version=1000"));
  }
  const auto opened = open_book(folder);
  ASSERT_FALSE(opened.has_value());
  EXPECT_NE(opened.error().what.find("newer version"), std::string::npos);
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace endpin::book
