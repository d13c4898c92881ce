#include "book_fixture.h"

namespace endpin::book {
namespace {

class BookLessons : public BookTest {
 protected:
  Lesson lesson_of(Id piece) {
    Lesson lesson;
    lesson.piece = piece;
    lesson.items = "[]";
    lesson.date = "2026-03-01";
    return lesson;
  }
};

TEST_F(BookLessons, AreFoundByStudentAndByTheirGroup) {
  const Id ada = add_student("Ada");
  const Id ben = add_student("Ben");
  const Id monday = need(book->students().add_group({0, "Monday", {ben}}));
  Lesson lesson = lesson_of(add_piece("Minuet", "x"));
  lesson.students = {ada, 999};
  lesson.groups = {monday};
  const Id id = need(book->lessons().add(lesson));
  EXPECT_EQ(need(book->lessons().find(id))->students, std::vector<Id>{ada});
  EXPECT_EQ(need(book->lessons().list({ada, {}})).size(), 1u);
  EXPECT_EQ(need(book->lessons().list({ben, {}})).size(), 1u);
  EXPECT_EQ(need(book->lessons().list({add_student("Cy"), {}})).size(), 0u);
}

TEST_F(BookLessons, KeepWhatTheyAnswer) {
  Lesson lesson = lesson_of(add_piece("Minuet", "x"));
  lesson.answers = R"({"bars":["5"]})";
  const Id id = need(book->lessons().add(lesson));
  reopen();
  Lesson kept = need(book->lessons().find(id)).value();
  kept.note = "Slow bow.";
  need(book->lessons().change(kept));
  EXPECT_EQ(need(book->lessons().find(id))->answers, lesson.answers);
}

TEST_F(BookLessons, GoWithTheirPieceAndItsFolder) {
  const Id piece = add_piece("Minuet", "x");
  const Id id = need(book->lessons().add(lesson_of(piece)));
  const auto made = book->lessons().folder(need(book->lessons().find(id)).value());
  std::filesystem::create_directories(made);
  std::ofstream(made / "sheet.html") << "A-SHEET-0123";
  reopen();
  EXPECT_TRUE(on_disk("A-SHEET-0123"));
  EXPECT_TRUE(need(book->pieces().remove(piece)));
  EXPECT_FALSE(on_disk("A-SHEET-0123"));
  EXPECT_FALSE(need(book->lessons().find(id)).has_value());
}

TEST_F(BookLessons, TheTeachersWordsGoWithTheTake) {
  const Id take = add_take("sound", {}, {});
  need(book->words().decide(take, {"f1", "reworded", "LET-IT-RING-0123", ""}));
  need(book->words().decide(take, {"f1", "reworded", "LET-IT-RING-4567", ""}));
  need(book->words().set_message(take, "DEAR-ADA-0123"));
  need(book->words().set_rubric(take, "[\"RUBRIC-0123\"]"));
  EXPECT_EQ(need(book->words().decisions(take)).size(), 1u);
  EXPECT_EQ(need(book->words().message(take)), "DEAR-ADA-0123");
  EXPECT_TRUE(need(book->takes().remove(take)));
  for (const char* words :
       {"LET-IT-RING-0123", "LET-IT-RING-4567", "DEAR-ADA-0123", "RUBRIC-0123"}) {
    EXPECT_FALSE(on_disk(words)) << words;
  }
}

TEST_F(BookLessons, RemarksAreKeptUntilTheyAreRemoved) {
  const Id id = need(book->words().add_remark({0, "Save the bow.", "short-held", "en-US"}));
  EXPECT_TRUE(need(book->words().change_remark({id, "Keep bow for the end.", "", "en-US"})));
  EXPECT_EQ(need(book->words().remarks())[0].words, "Keep bow for the end.");
  EXPECT_TRUE(need(book->words().remove_remark(id)));
  EXPECT_TRUE(need(book->words().remarks()).empty());
}

}  // namespace
}  // namespace endpin::book
