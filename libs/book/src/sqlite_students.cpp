#include "shelf.h"

namespace endpin::book {
namespace {

const std::string columns =
    "SELECT s.id, s.name, s.instrument, s.size, s.step, s.language, s.rules, s.consent_by,"
    " s.consent_on, s.consent_note, s.archived, s.created,"
    " (SELECT count(*) FROM takes t WHERE t.student = s.id),"
    " (SELECT count(*) FROM takes t WHERE t.student = s.id AND t.seen = 0),"
    " (SELECT max(received) FROM takes t WHERE t.student = s.id)"
    " FROM students s ";

Student read_student(Row row) {
  Student s;
  s.id = row.integer(0);
  s.name = row.text(1);
  s.instrument = row.text(2);
  s.size = row.text(3);
  s.step = row.text(4);
  s.language = row.text(5);
  s.rules = row.text(6);
  if (row.maybe_text(7)) s.consent = Consent{row.text(7), row.text(8), row.text(9)};
  s.archived = row.flag(10);
  s.created = row.text(11);
  s.takes = row.small(12);
  s.new_takes = row.small(13);
  s.last_take = row.maybe_text(14);
  return s;
}

template <typename Member>
std::optional<std::string> of(const std::optional<Consent>& consent, Member member) {
  if (!consent) return std::nullopt;
  return (*consent).*member;
}

class SqliteStudents final : public Students {
 public:
  explicit SqliteStudents(Shelf& shelf) : shelf_(shelf) {}

  Result<Id> add(const Student& s) override {
    return db().insert(
        "INSERT INTO students (name, instrument, size, step, language, rules, consent_by,"
        " consent_on, consent_note, archived, created) VALUES (?,?,?,?,?,?,?,?,?,?,?)",
        s.name, s.instrument, s.size, s.step, s.language, s.rules, of(s.consent, &Consent::by),
        of(s.consent, &Consent::on), of(s.consent, &Consent::note), s.archived, shelf_.now());
  }

  Result<std::optional<Student>> find(Id id) override {
    auto found = db().row(columns + "WHERE s.id = ?", read_student, id);
    if (!found || !*found) return found;
    const auto groups = db().rows(
        "SELECT group_id FROM members WHERE student = ? ORDER BY 1",
        [](Row r) { return r.integer(0); }, id);
    if (!groups) return Unexpected(groups.error());
    (*found)->groups = *groups;
    return found;
  }

  Result<std::vector<Student>> list(const StudentQuery& query) override {
    auto found = db().rows(
        columns +
            "WHERE s.archived = ?1 AND s.name LIKE ?2 ESCAPE '\\' AND (?3 IS NULL OR EXISTS"
            " (SELECT 1 FROM members m WHERE m.student = s.id AND m.group_id = ?3))"
            " ORDER BY s.name COLLATE NOCASE, s.id",
        read_student, query.archived, containing(query.text), query.group);
    if (!found) return found;
    const auto members = db().rows("SELECT student, group_id FROM members ORDER BY 1, 2",
                                   [](Row r) { return std::pair(r.integer(0), r.integer(1)); });
    if (!members) return Unexpected(members.error());
    std::unordered_map<Id, Student*> by_id;
    for (Student& s : *found) by_id[s.id] = &s;
    for (const auto& [student, group] : *members) {
      if (const auto at = by_id.find(student); at != by_id.end()) {
        at->second->groups.push_back(group);
      }
    }
    return found;
  }

  Result<bool> change(const Student& s) override {
    return db()
        .change(
            "UPDATE students SET name=?, instrument=?, size=?, step=?, language=?, rules=?,"
            " consent_by=?, consent_on=?, consent_note=?, archived=? WHERE id=?",
            s.name, s.instrument, s.size, s.step, s.language, s.rules, of(s.consent, &Consent::by),
            of(s.consent, &Consent::on), of(s.consent, &Consent::note), s.archived, s.id)
        .transform([](int rows) { return rows > 0; });
  }

  Result<bool> remove(Id id) override {
    std::vector<std::string> folders;
    auto removed = db().transaction([&]() -> Result<bool> {
      auto names = db().rows("SELECT folder_name FROM takes WHERE student = ?", first_text, id);
      if (!names) return Unexpected(names.error());
      folders = std::move(*names);
      if (auto gone = db().change("DELETE FROM takes WHERE student = ?", id); !gone) {
        return Unexpected(gone.error());
      }
      return db().change("DELETE FROM students WHERE id = ?", id).transform([](int rows) {
        return rows > 0;
      });
    });
    if (!removed || !*removed) return removed;
    if (auto gone = shelf_.discard(shelf_.takes(), folders); !gone) return Unexpected(gone.error());
    return true;
  }

  Result<std::optional<std::string>> token(Id id) override {
    auto made = db().change("UPDATE students SET token = ? WHERE id = ? AND token IS NULL",
                            random_hex(16), id);
    if (!made) return Unexpected(made.error());
    return db().row("SELECT token FROM students WHERE id = ?", first_text, id);
  }

  Result<std::optional<Id>> student_of_token(const std::string& token) override {
    return db().row(
        "SELECT id FROM students WHERE token = ?", [](Row r) { return r.integer(0); }, token);
  }

  Result<Id> add_group(const Group& group) override {
    return db().transaction([&]() -> Result<Id> {
      auto id = db().insert("INSERT INTO groups (name) VALUES (?)", group.name);
      if (!id) return id;
      if (auto set = set_members(*id, group.students); !set) return Unexpected(set.error());
      return id;
    });
  }

  Result<std::optional<Group>> find_group(Id id) override {
    auto all = groups();
    if (!all) return Unexpected(all.error());
    for (Group& group : *all) {
      if (group.id == id) return std::optional(std::move(group));
    }
    return std::optional<Group>();
  }

  Result<std::vector<Group>> groups() override {
    auto found =
        db().rows("SELECT id, name FROM groups ORDER BY name COLLATE NOCASE, id", [](Row r) {
          return Group{r.integer(0), r.text(1), {}};
        });
    if (!found) return found;
    for (Group& group : *found) {
      auto members = db().rows(
          "SELECT student FROM members WHERE group_id = ? ORDER BY 1",
          [](Row r) { return r.integer(0); }, group.id);
      if (!members) return Unexpected(members.error());
      group.students = std::move(*members);
    }
    return found;
  }

  Result<bool> change_group(const Group& group) override {
    return db().transaction([&]() -> Result<bool> {
      const auto rows = db().change("UPDATE groups SET name=? WHERE id=?", group.name, group.id);
      if (!rows) return Unexpected(rows.error());
      if (*rows == 0) return false;
      if (auto set = set_members(group.id, group.students); !set) return Unexpected(set.error());
      return true;
    });
  }

  Result<bool> remove_group(Id id) override {
    return db().change("DELETE FROM groups WHERE id = ?", id).transform([](int rows) {
      return rows > 0;
    });
  }

 private:
  Database& db() { return *shelf_.database; }

  // Students that are no longer there are passed over.
  Result<void> set_members(Id group, const std::vector<Id>& students) {
    if (auto gone = db().change("DELETE FROM members WHERE group_id = ?", group); !gone) {
      return Unexpected(gone.error());
    }
    for (const Id student : students) {
      auto added = db().change(
          "INSERT OR IGNORE INTO members SELECT ?, id FROM students WHERE id = ?", group, student);
      if (!added) return Unexpected(added.error());
    }
    return {};
  }

  Shelf& shelf_;
};

}  // namespace

std::unique_ptr<Students> sqlite_students(Shelf& shelf) {
  return std::make_unique<SqliteStudents>(shelf);
}

}  // namespace endpin::book
