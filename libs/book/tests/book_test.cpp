#include "endpin/book/book.h"

#include <sys/wait.h>
#include <unistd.h>

#include "book_fixture.h"

namespace endpin::book {
namespace {

using BookStudents = BookTest;
using BookPieces = BookTest;
using BookTakes = BookTest;
using Deletion = BookTest;
using Retention = BookTest;
using Opening = BookTest;

TEST_F(BookStudents, AreListedByNameAndFoundByAPartOfIt) {
  add_student("Zoe");
  add_student("ada");
  add_student("100%_Ben");
  auto all = need(book->students().list({}));
  ASSERT_EQ(all.size(), 3u);
  EXPECT_EQ(all[0].name, "100%_Ben");
  EXPECT_EQ(all[1].name, "ada");
  EXPECT_EQ(need(book->students().list({"ZO", {}, false})).size(), 1u);
  // A percent sign is a character, not "anything".
  EXPECT_EQ(need(book->students().list({"%", {}, false})).size(), 1u);
  EXPECT_EQ(need(book->students().list({"'; DROP TABLE students; --", {}, false})).size(), 0u);
}

TEST_F(BookStudents, KeepWhatWasWritten) {
  Student s;
  s.name = "Ada";
  s.instrument = "viola";
  s.size = "3/4";
  s.consent = Consent{"her mother", "2026-02-01", "by letter"};
  s.id = need(book->students().add(s));
  reopen();
  const Student read = need(book->students().find(s.id)).value();
  EXPECT_EQ(read.instrument, "viola");
  EXPECT_EQ(read.size, "3/4");
  EXPECT_EQ(read.consent, s.consent);
  EXPECT_EQ(read.created, "2026-03-01T00:00:00Z");
}

TEST_F(BookStudents, StandInGroups) {
  const Id ada = add_student("Ada");
  add_student("Ben");
  const Id monday = need(book->students().add_group({0, "Monday", {ada, 999}}));
  EXPECT_EQ(need(book->students().find_group(monday))->students, std::vector<Id>{ada});
  StudentQuery query;
  query.group = monday;
  const auto listed = need(book->students().list(query));
  ASSERT_EQ(listed.size(), 1u);
  EXPECT_EQ(listed[0].groups, std::vector<Id>{monday});
  EXPECT_TRUE(need(book->students().remove_group(monday)));
  EXPECT_TRUE(need(book->students().find(ada)).has_value());
}

TEST_F(BookPieces, KeepTheOriginalFile) {
  const Id id = add_piece("Minuet", "<score-partwise/>");
  const Piece piece = need(book->pieces().find(id)).value();
  std::ifstream in(book->pieces().file(piece));
  EXPECT_EQ(std::string((std::istreambuf_iterator<char>(in)), {}), "<score-partwise/>");
  EXPECT_EQ(piece.bytes, 17);
  EXPECT_EQ(need(book->pieces().find_same(piece.sha256, {}, 0))->id, id);
  EXPECT_FALSE(need(book->pieces().find_same(piece.sha256, {}, 1)).has_value());
  EXPECT_EQ(need(book->pieces().find_content(piece.sha256)), id);
  EXPECT_EQ(need(book->pieces().find_content("")), std::nullopt);
}

TEST_F(BookPieces, UndoAndRedoMarkings) {
  const Id id = add_piece("Minuet", "x");
  EXPECT_EQ(need(book->pieces().revision(Kept::markings, id)).revision, 0);
  need(book->pieces().set(Kept::markings, id, "one"));
  need(book->pieces().set(Kept::markings, id, "two"));
  EXPECT_EQ(need(book->pieces().step(Kept::markings, id, -1)).text, "one");
  EXPECT_EQ(need(book->pieces().step(Kept::markings, id, +1)).text, "two");
  EXPECT_EQ(need(book->pieces().step(Kept::markings, id, +1)).text, "two");
  need(book->pieces().step(Kept::markings, id, -1));
  const Revision third = need(book->pieces().set(Kept::markings, id, "three"));
  EXPECT_EQ(third.text, "three");
  EXPECT_EQ(third.newest, third.revision);
}

TEST_F(BookTakes, AreOfAnEarlierScoreOnceTheirPieceWasMended) {
  const Id piece = add_piece("Minuet", "score");
  const Id take = add_take("sound", {}, piece);
  const auto hear = [&] {
    need(book->takes().queue(take));
    ASSERT_EQ(need(book->takes().claim())->id, take);
    need(book->takes().heard(take, {}, {}, {}));
  };
  const auto earlier = [&] { return need(book->takes().find(take))->earlier_score; };
  EXPECT_FALSE(earlier());  // not heard yet
  hear();
  EXPECT_FALSE(earlier());
  need(book->pieces().set(Kept::mends, piece, "one"));
  EXPECT_TRUE(earlier());
  TakeQuery query;
  query.earlier_score = true;
  EXPECT_EQ(need(book->takes().list(query)).size(), 1u);
  need(book->pieces().step(Kept::mends, piece, -1));
  EXPECT_FALSE(earlier());
  need(book->pieces().set(Kept::mends, piece, "another as number one"));
  EXPECT_TRUE(earlier());
  hear();
  EXPECT_FALSE(earlier());
  EXPECT_TRUE(need(book->takes().list(query)).empty());
  need(book->pieces().set(Kept::markings, piece, "fingers are no notes"));
  EXPECT_FALSE(earlier());
}

TEST_F(BookTakes, MendedWhileTheyAreHeardAreOfTheEarlierScore) {
  const Id piece = add_piece("Minuet", "score");
  const Id take = add_take("sound", {}, piece);
  ASSERT_TRUE(need(book->takes().claim()).has_value());
  need(book->pieces().set(Kept::mends, piece, "one"));
  need(book->takes().heard(take, {}, {}, {}));
  EXPECT_TRUE(need(book->takes().find(take))->earlier_score);
}

// A take with two findings that was heard once.
class BookDecisions : public BookTest {
 protected:
  BookDecisions() {
    take = add_take("sound", {}, add_piece("Minuet", "score"));
    claim();
    hear({{"f0-1", "@flat 3"}, {"f0-2", "@sharp 5"}});
  }
  void claim() {
    need(book->takes().queue(take));
    ASSERT_EQ(need(book->takes().claim())->id, take);
  }
  void hear(const FindingMarks& marks) {
    EXPECT_TRUE(need(book->takes().heard(take, {}, {}, marks)));
  }
  void decide(const std::string& finding, const std::string& words) {
    need(book->words().decide(take, {finding, "reworded", words, ""}));
  }
  // The words by finding.
  std::map<std::string, std::string> words() {
    std::map<std::string, std::string> all;
    for (const Decision& d : need(book->words().decisions(take))) all[d.finding] = d.words;
    return all;
  }
  using Words = std::map<std::string, std::string>;

  const FindingMarks again{{"f0-1", "@early 1"}, {"f0-2", "@flat 3"}, {"f0-3", "@sharp 5"}};
  Id take = 0;
};

TEST_F(BookDecisions, StayWithTheirFindingsWhateverTheNextHearingCallsThem) {
  decide("f0-1", "on the flat one");
  decide("f0-2", "on the sharp one");
  now += std::chrono::hours(1);
  claim();
  hear(again);
  EXPECT_EQ(words(), (Words{{"f0-2", "on the flat one"}, {"f0-3", "on the sharp one"}}));
  for (const Decision& d : need(book->words().decisions(take))) {
    EXPECT_EQ(d.at, "2026-03-01T00:00:00Z");
  }
}

TEST_F(BookDecisions, OnWhatIsNotFoundAnyMoreAreKeptUntilItIs) {
  decide("f0-2", "on the sharp one");
  claim();
  hear({{"f0-2", "@early 1"}});
  EXPECT_EQ(words(), (Words{{"@sharp 5", "on the sharp one"}}));
  claim();
  hear(again);
  EXPECT_EQ(words(), (Words{{"f0-3", "on the sharp one"}}));
  EXPECT_TRUE(need(book->words().undecide(take, "@sharp 5")));  // the mark is as good as the id
  EXPECT_EQ(words(), Words());
}

TEST_F(BookDecisions, AreMadeAndTakenBackWhileTheTakeIsHeardAgain) {
  decide("f0-1", "on the flat one");
  claim();
  EXPECT_EQ(words(), (Words{{"f0-1", "on the flat one"}}));
  decide("f0-2", "on the sharp one");
  EXPECT_TRUE(need(book->words().undecide(take, "f0-1")));
  EXPECT_FALSE(need(book->words().undecide(take, "f0-1")));
  hear(again);
  EXPECT_EQ(words(), (Words{{"f0-3", "on the sharp one"}}));
}

TEST_F(BookDecisions, AreAboutTheSameWhereTheProgramDiesWhileTheTakeIsHeardAgain) {
  claim();
  decide("f0-2", "on the sharp one");
  reopen();
  EXPECT_EQ(words(), (Words{{"f0-2", "on the sharp one"}}));
  ASSERT_EQ(need(book->takes().claim())->id, take);
  hear(again);
  EXPECT_EQ(words(), (Words{{"f0-3", "on the sharp one"}}));
}

TEST_F(BookDecisions, OnNothingThatWasFoundComeToNoFindingAndAreKept) {
  decide("f0-3", "on nothing");
  claim();
  hear(again);
  decide("f0-3", "on the sharp one");
  EXPECT_EQ(words().size(), 2u);
  EXPECT_EQ(words().at("f0-3"), "on the sharp one");
}

TEST_F(BookDecisions, OfAnEarlierVersionGoUnderMarksBeforeTheTakeIsHeardAgain) {
  EXPECT_TRUE(need(book->words().knows_findings(take)));
  take = add_take("heard by an earlier version", {}, {});
  EXPECT_FALSE(need(book->words().knows_findings(take)));
  decide("f0-1", "on the flat one");
  decide("f0-9", "on nothing");
  need(book->words().know_findings(take, {{"f0-1", "@flat 3"}, {"f0-2", "@sharp 5"}}));
  EXPECT_TRUE(need(book->words().knows_findings(take)));
  EXPECT_EQ(words().at("f0-1"), "on the flat one");
  need(book->words().know_findings(take, again));
  EXPECT_EQ(words().at("f0-2"), "on the flat one");
  EXPECT_EQ(words().count("f0-9"), 0u);
}

TEST_F(BookTakes, WithAPieceAreQueuedAndClaimedOldestFirst) {
  const Id piece = add_piece("Minuet", "x");
  const Id first = add_take("a", {}, piece);
  const Id loose = add_take("b", {}, {});
  const Id last = add_take("c", {}, piece);
  EXPECT_EQ(need(book->takes().find(loose))->state, TakeState::unassigned);
  EXPECT_EQ(need(book->takes().claim())->id, first);
  EXPECT_EQ(need(book->takes().claim())->id, last);
  EXPECT_FALSE(need(book->takes().claim()).has_value());
}

TEST_F(BookTakes, OfTheSameContentAreOne) {
  const Id first = add_take("same", {}, {});
  EXPECT_FALSE(last_was_duplicate);
  EXPECT_EQ(add_take("same", {}, {}), first);
  EXPECT_TRUE(last_was_duplicate);
  EXPECT_EQ(need(book->counts()).takes, 1);
}

TEST_F(BookTakes, InterruptedByACrashAreQueuedAgain) {
  const Id id = add_take("a", {}, add_piece("Minuet", "x"));
  need(book->takes().claim());
  reopen();
  EXPECT_EQ(need(book->takes().find(id))->state, TakeState::queued);
}

TEST_F(BookTakes, ThatWereTakenBackAreNotHeard) {
  const Id id = add_take("a", {}, add_piece("Minuet", "x"));
  need(book->takes().claim());
  EXPECT_TRUE(need(book->takes().failed(id, Error{ErrorKind::input, "", "", "stopped", ""})));
  EXPECT_FALSE(need(book->takes().heard(id, {}, {}, {})));
  EXPECT_EQ(need(book->takes().find(id))->failure->what, "stopped");
}

TEST_F(BookTakes, GiveEachStudentsNewestBars) {
  const Id piece = add_piece("Minuet", "x");
  const Id ada = add_student("Ada");
  HeardBrief brief;
  brief.status = "ok";
  for (const char* bytes : {"old", "new"}) {
    const Id take = add_take(bytes, ada, piece);
    need(book->takes().claim());
    HeardBar bar{"11", 1, 2.0, 4.0, bytes == std::string("old") ? -40.0 : -5.0, {}, {}, "flat"};
    EXPECT_TRUE(need(book->takes().heard(take, brief, {bar}, {})));
  }
  const auto bars = need(book->takes().newest_bars(piece, {}, "11"));
  ASSERT_EQ(bars.size(), 1u);
  EXPECT_EQ(bars[0].student_name, "Ada");
  EXPECT_DOUBLE_EQ(bars[0].bar.intonation_cents.value(), -5.0);
  EXPECT_FALSE(bars[0].bar.deviation_ms.has_value());
  EXPECT_EQ(need(book->takes().history(ada, piece)).size(), 2u);
}

TEST_F(BookTakes, FindTheirStudentByTheSender) {
  const Id ada = add_student("Ada");
  need(book->takes().remember_sender("mum@example.org", ada));
  EXPECT_EQ(need(book->takes().students_of_sender("mum@example.org")), std::vector<Id>{ada});
  need(book->students().remove(ada));
  EXPECT_TRUE(need(book->takes().students_of_sender("mum@example.org")).empty());
}

TEST_F(Deletion, OfATakeLeavesNoByteOfIt) {
  const std::string sound = "SOUND-OF-A-CHILD-0123456789";
  const Id id = add_take(sound, {}, {});
  EXPECT_TRUE(on_disk(sound));
  EXPECT_TRUE(need(book->takes().remove(id)));
  EXPECT_FALSE(on_disk(sound));
  EXPECT_FALSE(need(book->takes().remove(id)));
}

TEST_F(Deletion, OfAStudentLeavesNeitherNameNorTakes) {
  const std::string name = "Wilhelmine-Zzyzx";
  const std::string sound = "HER-OWN-SOUND-0123456789";
  const Id id = add_student(name);
  add_take(sound, id, add_piece("Minuet", "x"));
  need(book->takes().remember_sender("sender-of-" + name, id));
  EXPECT_TRUE(on_disk(name));
  EXPECT_TRUE(need(book->students().remove(id)));
  EXPECT_FALSE(on_disk(name));
  EXPECT_FALSE(on_disk(sound));
  EXPECT_EQ(need(book->counts()).takes, 0);
}

TEST_F(Deletion, ThatACrashCutShortIsFinishedAtTheNextStart) {
  const Id id = add_take("kept", {}, {});
  const auto kept = book->takes().original(need(book->takes().find(id)).value());
  std::filesystem::create_directory(folder() / "takes" / "0123456789abcdef");
  std::ofstream(folder() / "takes" / "0123456789abcdef" / "original.mp4") << "stray";
  std::ofstream(folder() / "incoming" / "half.part") << "half";
  reopen();
  EXPECT_FALSE(on_disk("stray"));
  EXPECT_FALSE(on_disk("half"));
  EXPECT_TRUE(std::filesystem::exists(kept));
}

TEST_F(Retention, RemovesATakeOnTheDayAfterItsDate) {
  add_take("OLD-SOUND-123", {}, {}, "2026-04-30");
  add_take("NEW-SOUND-123", {}, {}, "2026-05-01");
  now = std::chrono::sys_days(std::chrono::year(2026) / 4 / 30);
  EXPECT_EQ(need(book->sweep()), 0);
  now = std::chrono::sys_days(std::chrono::year(2026) / 5 / 1);
  EXPECT_EQ(need(book->sweep()), 1);
  EXPECT_FALSE(on_disk("OLD-SOUND-123"));
  EXPECT_TRUE(on_disk("NEW-SOUND-123"));
}

TEST_F(Retention, RemovesNothingWhenTheClockGoesBack) {
  add_take("SOUND-123", {}, {}, "2026-04-30");
  now = std::chrono::sys_days(std::chrono::year(1970) / 1 / 1);
  EXPECT_EQ(need(book->sweep()), 0);
}

TEST_F(Opening, ABookTwiceIsRefused) {
  const auto second = open_book(folder());
  ASSERT_FALSE(second.has_value());
  EXPECT_EQ(second.error().kind, ErrorKind::machine);
  EXPECT_NE(second.error().line().find("another desk has this book open"), std::string::npos);
}

// As when a desk is killed just after it has forked.
TEST_F(Opening, WaitsForAChildThatHasTheLockForAMoment) {
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    ::usleep(300'000);
    ::_exit(0);
  }
  reopen();
  EXPECT_TRUE(book->settings().has_value());
  ::waitpid(child, nullptr, 0);
}

TEST_F(Opening, ADamagedBookSaysSoAndLeavesItAlone) {
  add_student("Ada");
  book.reset();
  {
    std::fstream file(folder() / "book.sqlite3", std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(0);
    file << std::string(4096, '!');
  }
  const auto opened = open_book(folder());
  ASSERT_FALSE(opened.has_value());
  EXPECT_NE(opened.error().line().find("damaged"), std::string::npos) << opened.error().line();
  EXPECT_NE(opened.error().remedy.find("--restore"), std::string::npos);
}

TEST_F(Opening, RecordingsWithoutADatabaseAreNotThrownAway) {
  add_take("precious", {}, {});
  book.reset();
  for (const char* file : {"book.sqlite3", "book.sqlite3-wal", "book.sqlite3-shm"}) {
    std::filesystem::remove(folder() / file);
  }
  EXPECT_FALSE(open_book(folder()).has_value());
  EXPECT_TRUE(on_disk("precious"));
}

TEST_F(Opening, KeepsTheSettings) {
  EXPECT_EQ(need(book->settings()), Settings{});
  const Settings wanted{"de", 30, 442.0, true};
  need(book->change_settings(wanted));
  reopen();
  EXPECT_EQ(need(book->settings()), wanted);
}

TEST_F(Opening, FilesAreForTheOwnerAlone) {
  const Id id = add_take("a", {}, {});
  const auto mode = [](const std::filesystem::path& p) {
    return std::filesystem::status(p).permissions() &
           (std::filesystem::perms::group_all | std::filesystem::perms::others_all);
  };
  EXPECT_EQ(mode(folder()), std::filesystem::perms::none);
  EXPECT_EQ(mode(book->takes().original(need(book->takes().find(id)).value())),
            std::filesystem::perms::none);
}

}  // namespace
}  // namespace endpin::book
