#include "shelf.h"

namespace endpin::book {
namespace {

// What a piece's score is: file, part, tune, and the mends in force over them.
const std::string score_of_piece =
    "p.sha256 || ' ' || p.part || ' ' || coalesce(p.tune, '') || ' ' || coalesce((SELECT overrides"
    " FROM mends m WHERE m.piece = p.id AND m.revision = p.mends_revision), '')";

// A take of a book that did not keep this yet is not said to be one.
const std::string earlier_score =
    "(t.state = 'heard' AND t.heard_score IS NOT NULL AND t.heard_score <> " + score_of_piece + ")";

const std::string columns =
    "SELECT t.id, t.file_name, t.folder_name, t.sha256, t.bytes, t.student, t.piece, t.sender,"
    " t.received, t.recorded, t.delete_after, t.tempo_bpm, t.state, t.failure_file,"
    " t.failure_place, t.failure_what, t.failure_remedy, t.seconds, t.picture, t.seen, t.status,"
    " t.line, t.work, t.good, t.bpm, t.clean_bpm, t.intonation_cents, t.spread_cents,"
    " t.deviation_ms, t.sounding_ratio, t.bars, s.name, p.title, t.lesson, t.item, coalesce(" +
    earlier_score +
    ", 0) FROM takes t"
    " LEFT JOIN students s ON s.id = t.student LEFT JOIN pieces p ON p.id = t.piece ";

HeardBrief read_brief(Row row) {
  HeardBrief b;
  b.status = row.text(20);
  b.line = row.text(21);
  b.work = row.small(22);
  b.good = row.small(23);
  b.bpm = row.maybe_real(24);
  b.clean_bpm = row.maybe_real(25);
  b.intonation_cents = row.maybe_real(26);
  b.spread_cents = row.maybe_real(27);
  b.deviation_ms = row.maybe_real(28);
  b.sounding_ratio = row.maybe_real(29);
  b.bars = row.small(30);
  return b;
}

Take read_take(Row row) {
  Take t;
  t.id = row.integer(0);
  t.file_name = row.text(1);
  t.folder_name = row.text(2);
  t.sha256 = row.text(3);
  t.bytes = row.integer(4);
  t.student = row.maybe_integer(5);
  t.piece = row.maybe_integer(6);
  t.sender = row.text(7);
  t.received = row.text(8);
  t.recorded = row.maybe_text(9);
  t.delete_after = row.text(10);
  t.tempo_bpm = row.maybe_real(11);
  t.state = take_state(row.text(12)).value_or(TakeState::failed);
  if (row.maybe_text(15)) {
    t.failure = Error{ErrorKind::input, row.text(13), row.text(14), row.text(15), row.text(16)};
  }
  t.seconds = row.maybe_real(17);
  t.picture = row.flag(18);
  t.seen = row.flag(19);
  t.brief = read_brief(row);
  t.student_name = row.text(31);
  t.piece_title = row.text(32);
  t.lesson = row.maybe_integer(33);
  t.item = row.text(34);
  t.earlier_score = row.flag(35);
  return t;
}

HeardBar read_bar(Row row, int from) {
  return {row.text(from),
          row.small(from + 1),
          row.maybe_real(from + 2).value_or(0),
          row.maybe_real(from + 3).value_or(0),
          row.maybe_real(from + 4),
          row.maybe_real(from + 5),
          row.maybe_real(from + 6),
          row.text(from + 7)};
}

BarOfTake read_bar_of_take(Row row) {
  return {row.integer(0), row.integer(1), row.text(2), read_bar(row, 3), row.text(11)};
}

class SqliteTakes final : public Takes {
 public:
  explicit SqliteTakes(Shelf& shelf) : shelf_(shelf) {}

  Result<Id> add(Take t, Upload upload, bool* duplicate) override {
    if (auto same = same_content(upload.hash()); !same || *same) {
      *duplicate = static_cast<bool>(same);
      return same ? Result<Id>(**same) : Unexpected(same.error());
    }
    t.folder_name = random_hex(8);
    std::error_code failed;
    std::filesystem::create_directory(folder(t), failed);
    if (auto moved = upload.move_to(original(t)); !moved) return Unexpected(moved.error());
    if (auto synced = sync_folder(shelf_.takes()); !synced) return Unexpected(synced.error());
    auto id = insert(t, upload);
    *duplicate = id && *id == 0;
    if (id && *id != 0) return id;
    std::filesystem::remove_all(folder(t), failed);
    if (!id) return id;
    // The same bytes came in twice at once, and the other was first.
    auto same = same_content(upload.hash());
    return same && *same ? Result<Id>(**same) : Unexpected(busy());
  }

  Result<std::optional<Take>> find(Id id) override {
    return db().row(columns + "WHERE t.id = ?", read_take, id);
  }

  Result<std::vector<Take>> list(const TakeQuery& q) override {
    const std::optional<std::string> state =
        q.state ? std::optional<std::string>(name(*q.state)) : std::nullopt;
    const std::optional<std::string> text =
        q.text.empty() ? std::nullopt : std::optional(containing(q.text));
    return db().rows(
        columns +
            "WHERE (?1 IS NULL OR t.student = ?1) AND (?2 IS NULL OR t.student IN"
            " (SELECT student FROM members WHERE group_id = ?2)) AND (?3 IS NULL OR t.piece = ?3)"
            " AND (?4 IS NULL OR t.state = ?4) AND (?5 = 0 OR t.seen = 0) AND (?6 IS NULL OR"
            " t.file_name LIKE ?6 ESCAPE '\\' OR s.name LIKE ?6 ESCAPE '\\' OR p.title LIKE ?6"
            " ESCAPE '\\') AND (?7 IS NULL OR t.id < ?7) AND (?9 IS NULL OR t.lesson = ?9)"
            " AND (?10 = 0 OR " +
            earlier_score + ") ORDER BY t.id DESC LIMIT ?8",
        read_take, q.student, q.group, q.piece, state, q.only_new, text, q.before, q.limit,
        q.lesson, q.earlier_score);
  }

  Result<bool> change(const Take& t) override {
    return changed(
        db().change("UPDATE takes SET student=?, piece=?, lesson=?, item=?, sender=?, recorded=?,"
                    " delete_after=?, tempo_bpm=?, seen=? WHERE id=?",
                    t.student, t.piece, t.lesson, t.item, t.sender, t.recorded, t.delete_after,
                    t.tempo_bpm, t.seen, t.id));
  }

  Result<bool> remove(Id id) override {
    const auto take = find(id);
    if (!take) return Unexpected(take.error());
    if (!*take) return false;
    auto removed = changed(db().change("DELETE FROM takes WHERE id = ?", id));
    if (!removed || !*removed) return removed;
    auto gone = shelf_.discard(shelf_.takes(), {(*take)->folder_name});
    return gone ? Result<bool>(true) : Unexpected(gone.error());
  }

  std::filesystem::path folder(const Take& t) const override {
    return shelf_.takes() / t.folder_name;
  }
  std::filesystem::path original(const Take& t) const override {
    return folder(t) / ("original" + plain_extension(t.file_name));
  }

  Result<std::optional<Take>> claim() override {
    return db().transaction([&]() -> Result<std::optional<Take>> {
      auto next = db().row(columns + "WHERE t.state = 'queued' ORDER BY t.id LIMIT 1", read_take);
      if (!next || !*next) return next;
      (*next)->state = TakeState::hearing;
      // Before the hearing begins: a mend that is made while it goes on comes after this.
      auto set =
          db().change("UPDATE takes SET state = 'hearing', heard_score = (SELECT " +
                          score_of_piece + " FROM pieces p WHERE p.id = takes.piece) WHERE id = ?",
                      (*next)->id);
      if (!set) return Unexpected(set.error());
      return next;
    });
  }

  Result<bool> queue(Id id) override {
    return changed(db().change(
        "UPDATE takes SET state = CASE WHEN piece IS NULL THEN 'unassigned' ELSE 'queued' END,"
        " failure_file=NULL, failure_place=NULL, failure_what=NULL, failure_remedy=NULL,"
        " status=NULL, line=NULL, work=0, good=0 WHERE id = ?",
        id));
  }

  Result<int> queue_interrupted() override {
    return db().change("UPDATE takes SET state = 'queued' WHERE state = 'hearing'");
  }

  Result<int> waiting() override {
    return db().number("SELECT count(*) FROM takes WHERE state = 'queued'");
  }

  Result<bool> heard(Id id, const HeardBrief& b, const std::vector<HeardBar>& bars,
                     const FindingMarks& marks) override {
    return db().transaction([&]() -> Result<bool> {
      auto set = changed(db().change(
          "UPDATE takes SET state='heard', status=?, line=?, work=?, good=?, bpm=?, clean_bpm=?,"
          " intonation_cents=?, spread_cents=?, deviation_ms=?, sounding_ratio=?, bars=?"
          " WHERE id=? AND state='hearing'",
          b.status, b.line, b.work, b.good, b.bpm, b.clean_bpm, b.intonation_cents, b.spread_cents,
          b.deviation_ms, b.sounding_ratio, b.bars, id));
      if (!set || !*set) return set;
      if (auto kept = keep_bars(id, bars); !kept) return Unexpected(kept.error());
      if (auto kept = keep_marks(db(), id, marks); !kept) return Unexpected(kept.error());
      return true;
    });
  }

  Result<bool> failed(Id id, const Error& e) override {
    return changed(db().change(
        "UPDATE takes SET state='failed', failure_file=?, failure_place=?,"
        " failure_what=?, failure_remedy=? WHERE id=? AND state IN ('hearing','queued')",
        e.file, e.place, e.what, e.remedy, id));
  }

  Result<bool> measured(Id id, double seconds, bool picture) override {
    return changed(
        db().change("UPDATE takes SET seconds=?, picture=? WHERE id=?", seconds, picture, id));
  }

  Result<std::vector<BarOfTake>> newest_bars(Id piece, std::optional<Id> group,
                                             std::optional<std::string> bar) override {
    return db().rows(
        // Grouped first: a search per student would walk through all heard takes each time.
        "SELECT t.id, s.id, s.name, b.bar, b.pass, b.from_s, b.to_s, b.intonation_cents,"
        " b.deviation_ms, b.sounding_ratio, b.kinds, t.moment FROM (SELECT max(id) AS id, student,"
        " coalesce(recorded, received) AS moment FROM takes"
        " WHERE piece = ?1 AND +state = 'heard' AND status = 'ok' GROUP BY student) t"
        " CROSS JOIN students s ON s.id = t.student CROSS JOIN take_bars b ON b.take = t.id"
        " WHERE (?2 IS NULL OR s.id IN (SELECT student FROM members WHERE group_id = ?2))"
        " AND (?3 IS NULL OR b.bar = ?3) ORDER BY s.name COLLATE NOCASE, s.id, b.place",
        read_bar_of_take, piece, group, bar);
  }

  Result<std::vector<BarOfTake>> bar_of_student(Id student, Id piece,
                                                const std::string& bar) override {
    return db().rows(
        "SELECT t.id, s.id, s.name, b.bar, b.pass, b.from_s, b.to_s, b.intonation_cents,"
        " b.deviation_ms, b.sounding_ratio, b.kinds, coalesce(t.recorded, t.received) AS moment"
        " FROM takes t CROSS JOIN students s ON s.id = t.student"
        " CROSS JOIN take_bars b ON b.take = t.id WHERE t.student = ?1 AND t.piece = ?2"
        " AND +t.state = 'heard' AND t.status = 'ok' AND b.bar = ?3 ORDER BY moment, t.id, b.place",
        read_bar_of_take, student, piece, bar);
  }

  Result<std::vector<Take>> history(Id student, std::optional<Id> piece) override {
    return db().rows(columns +
                         "WHERE t.student = ?1 AND (?2 IS NULL OR t.piece = ?2) AND t.state ="
                         " 'heard' ORDER BY coalesce(t.recorded, t.received), t.id",
                     read_take, student, piece);
  }

  Result<std::vector<Id>> students_of_sender(const std::string& sender) override {
    return db().rows(
        "SELECT student FROM senders WHERE sender = ? ORDER BY 1",
        [](Row r) { return r.integer(0); }, sender);
  }

  Result<std::vector<std::string>> senders() override {
    return db().rows("SELECT DISTINCT sender FROM senders ORDER BY sender COLLATE NOCASE",
                     first_text);
  }

  Result<void> remember_sender(const std::string& sender, Id student) override {
    auto kept = db().change("INSERT OR IGNORE INTO senders VALUES (?, ?)", sender, student);
    if (!kept) return Unexpected(kept.error());
    return {};
  }

 private:
  Database& db() { return *shelf_.database; }

  static Result<bool> changed(Result<int> rows) {
    return std::move(rows).transform([](int count) { return count > 0; });
  }

  Error busy() const {
    return {ErrorKind::machine, "", "", "the same recording is just being deleted",
            "Send it again."};
  }

  Result<std::optional<Id>> same_content(const std::string& hash) {
    return db().row(
        "SELECT id FROM takes WHERE sha256 = ?", [](Row r) { return r.integer(0); }, hash);
  }

  // 0: the content is there already.
  Result<Id> insert(const Take& t, const Upload& upload) {
    return db().transaction([&]() -> Result<Id> {
      const auto rows = db().change(
          "INSERT OR IGNORE INTO takes (file_name, folder_name, sha256, bytes, student, piece,"
          " lesson, item, sender, received, recorded, delete_after, tempo_bpm, state)"
          " VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
          t.file_name, t.folder_name, upload.hash(), upload.bytes(), t.student, t.piece, t.lesson,
          t.item, t.sender, shelf_.now(), t.recorded, t.delete_after, t.tempo_bpm,
          t.piece ? name(TakeState::queued) : name(TakeState::unassigned));
      if (!rows) return Unexpected(rows.error());
      if (*rows == 0) return Id{0};
      auto id = db().row(
          "SELECT id FROM takes WHERE folder_name = ?", [](Row r) { return r.integer(0); },
          t.folder_name);
      if (!id) return Unexpected(id.error());
      return id->value_or(0);
    });
  }

  Result<void> keep_bars(Id take, const std::vector<HeardBar>& bars) {
    auto gone = db().change("DELETE FROM take_bars WHERE take = ?", take);
    if (!gone) return Unexpected(gone.error());
    int place = 0;
    for (const HeardBar& b : bars) {
      auto added = db().change("INSERT INTO take_bars VALUES (?,?,?,?,?,?,?,?,?,?)", take, place++,
                               b.bar, b.pass, b.from_s, b.to_s, b.intonation_cents, b.deviation_ms,
                               b.sounding_ratio, b.kinds);
      if (!added) return Unexpected(added.error());
    }
    return {};
  }

  Shelf& shelf_;
};

}  // namespace

std::unique_ptr<Takes> sqlite_takes(Shelf& shelf) { return std::make_unique<SqliteTakes>(shelf); }

}  // namespace endpin::book
