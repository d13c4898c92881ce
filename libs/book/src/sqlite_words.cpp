#include "shelf.h"

namespace endpin::book {
namespace {

class SqliteWords final : public TeachersWords {
 public:
  explicit SqliteWords(Shelf& shelf) : shelf_(shelf) {}

  Result<std::vector<Decision>> decisions(Id take) override {
    return db().rows(
        "SELECT finding, verdict, words, decided FROM decisions WHERE take = ? ORDER BY decided",
        [](Row r) {
          return Decision{r.text(0), r.text(1), r.text(2), r.text(3)};
        },
        take);
  }
  Result<void> decide(Id take, const Decision& d) override {
    return plain(db().change("INSERT OR REPLACE INTO decisions VALUES (?,?,?,?,?)", take, d.finding,
                             d.verdict, d.words, shelf_.now()));
  }
  Result<bool> undecide(Id take, const std::string& finding) override {
    return any(db().change("DELETE FROM decisions WHERE take = ? AND finding = ?", take, finding));
  }
  Result<void> move_decisions(Id take,
                              const std::function<std::string(const Decision&)>& to) override {
    return db().transaction([&]() -> Result<void> {
      const auto kept_so_far = decisions(take);
      if (!kept_so_far) return Unexpected(kept_so_far.error());
      auto gone = db().change("DELETE FROM decisions WHERE take = ?", take);
      if (!gone) return Unexpected(gone.error());
      for (const Decision& d : *kept_so_far) {
        auto kept = db().change("INSERT OR REPLACE INTO decisions VALUES (?,?,?,?,?)", take, to(d),
                                d.verdict, d.words, d.at);
        if (!kept) return Unexpected(kept.error());
      }
      return {};
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

std::unique_ptr<TeachersWords> sqlite_words(Shelf& shelf) {
  return std::make_unique<SqliteWords>(shelf);
}

}  // namespace endpin::book
