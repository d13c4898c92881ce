#include "migrations.h"

#include <array>

namespace endpin::book {
namespace {

// A step that was released is never edited: add another below it.
constexpr const char* students_pieces_takes = R"sql(
CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;

CREATE TABLE students (
  id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL, instrument TEXT NOT NULL,
  size TEXT NOT NULL, step TEXT NOT NULL, language TEXT NOT NULL, rules TEXT NOT NULL,
  consent_by TEXT, consent_on TEXT, consent_note TEXT,
  archived INTEGER NOT NULL DEFAULT 0, created TEXT NOT NULL) STRICT;
CREATE TABLE groups (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL) STRICT;
CREATE TABLE members (
  group_id INTEGER NOT NULL REFERENCES groups ON DELETE CASCADE,
  student INTEGER NOT NULL REFERENCES students ON DELETE CASCADE,
  PRIMARY KEY (group_id, student)) STRICT, WITHOUT ROWID;
CREATE INDEX members_student ON members (student);

CREATE TABLE pieces (
  id INTEGER PRIMARY KEY AUTOINCREMENT, title TEXT NOT NULL, composer TEXT NOT NULL,
  rights TEXT NOT NULL, file_name TEXT NOT NULL, folder_name TEXT NOT NULL UNIQUE,
  sha256 TEXT NOT NULL, bytes INTEGER NOT NULL, part INTEGER NOT NULL, tune INTEGER,
  instrument TEXT NOT NULL, step TEXT NOT NULL, tempo_bpm REAL, facts TEXT NOT NULL,
  added TEXT NOT NULL, markings_revision INTEGER NOT NULL DEFAULT 0) STRICT;
CREATE INDEX pieces_content ON pieces (sha256);
CREATE TABLE markings (
  piece INTEGER NOT NULL REFERENCES pieces ON DELETE CASCADE, revision INTEGER NOT NULL,
  overrides TEXT NOT NULL, PRIMARY KEY (piece, revision)) STRICT, WITHOUT ROWID;

CREATE TABLE senders (
  sender TEXT PRIMARY KEY,
  student INTEGER NOT NULL REFERENCES students ON DELETE CASCADE) STRICT, WITHOUT ROWID;
CREATE INDEX senders_student ON senders (student);
CREATE TABLE takes (
  id INTEGER PRIMARY KEY AUTOINCREMENT, file_name TEXT NOT NULL,
  folder_name TEXT NOT NULL UNIQUE, sha256 TEXT NOT NULL UNIQUE, bytes INTEGER NOT NULL,
  student INTEGER REFERENCES students, piece INTEGER REFERENCES pieces,
  sender TEXT NOT NULL, received TEXT NOT NULL, recorded TEXT, delete_after TEXT NOT NULL,
  tempo_bpm REAL, state TEXT NOT NULL, failure_file TEXT, failure_place TEXT, failure_what TEXT,
  failure_remedy TEXT, seconds REAL, picture INTEGER NOT NULL DEFAULT 0,
  seen INTEGER NOT NULL DEFAULT 0, status TEXT, line TEXT, work INTEGER NOT NULL DEFAULT 0,
  good INTEGER NOT NULL DEFAULT 0, bpm REAL, clean_bpm REAL, intonation_cents REAL,
  spread_cents REAL, deviation_ms REAL, sounding_ratio REAL,
  bars INTEGER NOT NULL DEFAULT 0) STRICT;
CREATE INDEX takes_student ON takes (student, seen);
CREATE INDEX takes_piece ON takes (piece, seen);
CREATE INDEX takes_state ON takes (state);
CREATE INDEX takes_delete_after ON takes (delete_after);
CREATE TABLE take_bars (
  take INTEGER NOT NULL REFERENCES takes ON DELETE CASCADE, place INTEGER NOT NULL,
  bar TEXT NOT NULL, pass INTEGER NOT NULL, from_s REAL NOT NULL, to_s REAL NOT NULL,
  intonation_cents REAL, deviation_ms REAL, sounding_ratio REAL, kinds TEXT NOT NULL,
  PRIMARY KEY (take, place)) STRICT, WITHOUT ROWID;
)sql";

constexpr const char* lessons_and_words = R"sql(
CREATE TABLE lessons (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  piece INTEGER NOT NULL REFERENCES pieces ON DELETE CASCADE, folder_name TEXT NOT NULL UNIQUE,
  items TEXT NOT NULL, note TEXT NOT NULL, tempo_bpm REAL, paper TEXT NOT NULL,
  dated TEXT NOT NULL, due TEXT, state TEXT NOT NULL, failure_file TEXT, failure_place TEXT,
  failure_what TEXT, failure_remedy TEXT, created TEXT NOT NULL) STRICT;
CREATE INDEX lessons_piece ON lessons (piece);
CREATE TABLE lesson_for (
  lesson INTEGER NOT NULL REFERENCES lessons ON DELETE CASCADE,
  student INTEGER REFERENCES students ON DELETE CASCADE,
  group_id INTEGER REFERENCES groups ON DELETE CASCADE) STRICT;
CREATE INDEX lesson_for_lesson ON lesson_for (lesson);
CREATE INDEX lesson_for_student ON lesson_for (student);
CREATE INDEX lesson_for_group ON lesson_for (group_id);

CREATE TABLE decisions (
  take INTEGER NOT NULL REFERENCES takes ON DELETE CASCADE, finding TEXT NOT NULL,
  verdict TEXT NOT NULL, words TEXT NOT NULL, decided TEXT NOT NULL,
  PRIMARY KEY (take, finding)) STRICT, WITHOUT ROWID;
CREATE TABLE messages (
  take INTEGER PRIMARY KEY REFERENCES takes ON DELETE CASCADE, words TEXT NOT NULL) STRICT;
CREATE TABLE rubrics (
  take INTEGER PRIMARY KEY REFERENCES takes ON DELETE CASCADE, filled TEXT NOT NULL) STRICT;
CREATE TABLE remarks (
  id INTEGER PRIMARY KEY AUTOINCREMENT, words TEXT NOT NULL, kind TEXT NOT NULL,
  language TEXT NOT NULL) STRICT;
)sql";

constexpr const char* pages_senders_drafts = R"sql(
ALTER TABLE students ADD COLUMN token TEXT;
CREATE UNIQUE INDEX students_token ON students (token);
ALTER TABLE takes ADD COLUMN lesson INTEGER REFERENCES lessons ON DELETE SET NULL;
ALTER TABLE takes ADD COLUMN item TEXT NOT NULL DEFAULT '';
CREATE INDEX takes_lesson ON takes (lesson);

CREATE TABLE drafts (
  id INTEGER PRIMARY KEY AUTOINCREMENT, folder_name TEXT NOT NULL UNIQUE, text TEXT NOT NULL,
  instrument TEXT NOT NULL, piece INTEGER REFERENCES pieces ON DELETE SET NULL,
  page_name TEXT NOT NULL DEFAULT '', changed TEXT NOT NULL) STRICT;
CREATE INDEX drafts_piece ON drafts (piece);

ALTER TABLE senders RENAME TO senders_of_one;
CREATE TABLE senders (
  sender TEXT NOT NULL, student INTEGER NOT NULL REFERENCES students ON DELETE CASCADE,
  PRIMARY KEY (sender, student)) STRICT, WITHOUT ROWID;
INSERT INTO senders SELECT sender, student FROM senders_of_one;
DROP TABLE senders_of_one;
CREATE INDEX senders_student ON senders (student);
)sql";

constexpr const char* words_of_a_page = R"sql(
ALTER TABLE lessons ADD COLUMN may_say TEXT;
)sql";

constexpr const char* answers_of_a_lesson = R"sql(
ALTER TABLE lessons ADD COLUMN answers TEXT NOT NULL DEFAULT '';
)sql";

constexpr const char* sets_for_a_class = R"sql(
CREATE TABLE class_sets (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  piece INTEGER NOT NULL REFERENCES pieces ON DELETE CASCADE, folder_name TEXT NOT NULL UNIQUE,
  wanted TEXT NOT NULL, state TEXT NOT NULL, failure_file TEXT, failure_place TEXT,
  failure_what TEXT, failure_remedy TEXT, created TEXT NOT NULL) STRICT;
CREATE INDEX class_sets_piece ON class_sets (piece);
)sql";

constexpr const char* mends_of_a_piece = R"sql(
ALTER TABLE pieces ADD COLUMN mends_revision INTEGER NOT NULL DEFAULT 0;
CREATE TABLE mends (
  piece INTEGER NOT NULL REFERENCES pieces ON DELETE CASCADE, revision INTEGER NOT NULL,
  overrides TEXT NOT NULL, PRIMARY KEY (piece, revision)) STRICT, WITHOUT ROWID;
)sql";

constexpr const char* score_of_a_hearing = R"sql(
ALTER TABLE takes ADD COLUMN heard_score TEXT;
)sql";

// What the newest hearing calls its findings, and what each is by itself. Decisions are kept under
// the mark; those of a take that an earlier version heard are under ids until it is heard again.
constexpr const char* marks_of_findings = R"sql(
CREATE TABLE finding_marks (
  take INTEGER NOT NULL REFERENCES takes ON DELETE CASCADE, finding TEXT NOT NULL,
  mark TEXT NOT NULL, PRIMARY KEY (take, finding)) STRICT, WITHOUT ROWID;
ALTER TABLE takes ADD COLUMN marks_known INTEGER NOT NULL DEFAULT 0;
)sql";

constexpr std::array steps{students_pieces_takes, lessons_and_words,   pages_senders_drafts,
                           words_of_a_page,       answers_of_a_lesson, sets_for_a_class,
                           mends_of_a_piece,      score_of_a_hearing,  marks_of_findings};

}  // namespace

int newest_version() { return static_cast<int>(steps.size()); }

Result<void> migrate(Database& database, int target) {
  const auto version = database.number("PRAGMA user_version");
  if (!version) return Unexpected(version.error());
  if (*version > newest_version()) {
    return Unexpected(Error{ErrorKind::input, database.file().string(), "",
                            "the book was made by a newer version of endpin",
                            "Open it with that version."});
  }
  for (int from = *version; from < target; ++from) {
    auto done = database.transaction([&]() -> Result<void> {
      if (auto run = database.run(steps[static_cast<std::size_t>(from)]); !run) return run;
      return database.run("PRAGMA user_version=" + std::to_string(from + 1));
    });
    if (!done) return done;
  }
  return {};
}

}  // namespace endpin::book
