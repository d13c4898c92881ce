#include "shelf.h"

namespace endpin::book {
namespace {

// What a decision about ?2 in take ?1 is kept under.
const std::string mark_of =
    "coalesce((SELECT mark FROM finding_marks WHERE take = ?1 AND finding = ?2), ?2)";

class SqliteWords final : public TeachersWords {
 public:
  explicit SqliteWords(Shelf& shelf) : shelf_(shelf) {}

  Result<std::vector<Decision>> decisions(Id take) override {
    return db().rows(
        "SELECT coalesce(m.finding, d.finding), d.verdict, d.words, d.decided FROM decisions d"
        " LEFT JOIN finding_marks m ON m.take = d.take AND m.mark = d.finding"
        " WHERE d.take = ? ORDER BY d.decided",
        [](Row r) {
          return Decision{r.text(0), r.text(1), r.text(2), r.text(3)};
        },
        take);
  }
  Result<void> decide(Id take, const Decision& d) override {
    return plain(
        db().change("INSERT OR REPLACE INTO decisions VALUES (?1," + mark_of + ",?3,?4,?5)", take,
                    d.finding, d.verdict, d.words, shelf_.now()));
  }
  Result<bool> undecide(Id take, const std::string& finding) override {
    return any(db().change("DELETE FROM decisions WHERE take = ?1 AND finding = " + mark_of, take,
                           finding));
  }
  Result<bool> knows_findings(Id take) override {
    return any(db().number("SELECT marks_known FROM takes WHERE id = ?", take));
  }
  Result<void> know_findings(Id take, const FindingMarks& marks) override {
    return db().transaction([&]() -> Result<void> {
      for (const auto& [finding, mark] : marks) {
        auto moved = db().change(
            "UPDATE OR REPLACE decisions SET finding = ? WHERE take = ? AND finding = ?", mark,
            take, finding);
        if (!moved) return Unexpected(moved.error());
      }
      return keep_marks(db(), take, marks);
    });
  }

  Result<std::optional<std::string>> message(Id take) override {
    return db().row("SELECT words FROM messages WHERE take = ?", first_text, take);
  }
  Result<void> set_message(Id take, const std::optional<std::string>& words) override {
    if (!words) return plain(db().change("DELETE FROM messages WHERE take = ?", take));
    return plain(db().change("INSERT OR REPLACE INTO messages VALUES (?, ?)", take, *words));
  }

  Result<std::string> rubric(Id take) override {
    auto found = db().row("SELECT filled FROM rubrics WHERE take = ?", first_text, take);
    if (!found) return Unexpected(found.error());
    return found->value_or("");
  }
  Result<void> set_rubric(Id take, const std::string& rows) override {
    return plain(db().change("INSERT OR REPLACE INTO rubrics VALUES (?, ?)", take, rows));
  }

  Result<std::vector<Remark>> remarks() override {
    return db().rows("SELECT id, words, kind, language FROM remarks ORDER BY id", [](Row r) {
      return Remark{r.integer(0), r.text(1), r.text(2), r.text(3)};
    });
  }
  Result<Id> add_remark(const Remark& r) override {
    return db().insert("INSERT INTO remarks (words, kind, language) VALUES (?,?,?)", r.words,
                       r.kind, r.language);
  }
  Result<bool> change_remark(const Remark& r) override {
    return any(db().change("UPDATE remarks SET words=?, kind=?, language=? WHERE id=?", r.words,
                           r.kind, r.language, r.id));
  }
  Result<bool> remove_remark(Id id) override {
    return any(db().change("DELETE FROM remarks WHERE id = ?", id));
  }

 private:
  Database& db() { return *shelf_.database; }
  static Result<void> plain(const Result<int>& rows) {
    if (!rows) return Unexpected(rows.error());
    return {};
  }
  static Result<bool> any(Result<int> rows) {
    return std::move(rows).transform([](int count) { return count > 0; });
  }
  Shelf& shelf_;
};

}  // namespace

Result<void> keep_marks(Database& db, Id take, const FindingMarks& marks) {
  // On what nobody found: the same id may mean another finding from now on. The time keeps two of
  // them apart.
  auto known = db.change(
      "UPDATE OR REPLACE decisions SET finding = '@unknown ' || finding || ' ' || decided"
      " WHERE take = ? AND finding NOT LIKE '@%'",
      take);
  if (known) known = db.change("DELETE FROM finding_marks WHERE take = ?", take);
  for (auto mark = marks.begin(); known && mark != marks.end(); ++mark) {
    known = db.change("INSERT INTO finding_marks VALUES (?,?,?)", take, mark->first, mark->second);
  }
  if (known) known = db.change("UPDATE takes SET marks_known = 1 WHERE id = ?", take);
  if (!known) return Unexpected(known.error());
  return {};
}

std::unique_ptr<TeachersWords> sqlite_words(Shelf& shelf) {
  return std::make_unique<SqliteWords>(shelf);
}

}  // namespace endpin::book
