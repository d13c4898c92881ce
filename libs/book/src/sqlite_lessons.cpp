#include "failure_columns.h"
#include "shelf.h"

namespace endpin::book {
namespace {

const std::string columns =
    "SELECT l.id, l.piece, l.folder_name, l.items, l.note, l.tempo_bpm, l.paper, l.dated, l.due,"
    " l.state, l.failure_file, l.failure_place, l.failure_what, l.failure_remedy, l.created,"
    " p.title, l.may_say, l.answers FROM lessons l JOIN pieces p ON p.id = l.piece ";

Lesson read_lesson(Row row) {
  Lesson l;
  l.id = row.integer(0);
  l.piece = row.integer(1);
  l.folder_name = row.text(2);
  l.items = row.text(3);
  l.note = row.text(4);
  l.tempo_bpm = row.maybe_real(5);
  l.paper = row.text(6);
  l.date = row.text(7);
  l.due = row.maybe_text(8);
  l.state = row.text(9);
  l.failure = read_failure(row, 10);
  l.created = row.text(14);
  l.piece_title = row.text(15);
  l.may_say = row.maybe_text(16);
  l.answers = row.text(17);
  return l;
}

class SqliteLessons final : public Lessons {
 public:
  explicit SqliteLessons(Shelf& shelf) : shelf_(shelf) {}

  Result<Id> add(Lesson l) override {
    return db().transaction([&]() -> Result<Id> {
      auto id = db().insert(
          "INSERT INTO lessons (piece, folder_name, items, note, tempo_bpm, paper, dated, due,"
          " state, may_say, answers, created) VALUES (?,?,?,?,?,?,?,?,?,?,?,?)",
          l.piece, random_hex(8), l.items, l.note, l.tempo_bpm, l.paper, l.date, l.due, l.state,
          l.may_say, l.answers, shelf_.now());
      if (!id) return id;
      l.id = *id;
      if (auto given = give(l); !given) return Unexpected(given.error());
      return id;
    });
  }

  Result<std::optional<Lesson>> find(Id id) override {
    return whole(db().row(columns + "WHERE l.id = ?", read_lesson, id));
  }

  Result<std::optional<Lesson>> find_by_folder(const std::string& name) override {
    return whole(db().row(columns + "WHERE l.folder_name = ?", read_lesson, name));
  }

  Result<std::vector<Lesson>> list(const LessonQuery& query) override {
    auto found = db().rows(
        columns +
            "WHERE (?1 IS NULL OR l.piece = ?1) AND (?2 IS NULL OR EXISTS (SELECT 1 FROM"
            " lesson_for f WHERE f.lesson = l.id AND (f.student = ?2 OR f.group_id IN (SELECT"
            " group_id FROM members WHERE student = ?2)))) ORDER BY l.id DESC",
        read_lesson, query.piece, query.student);
    if (!found) return found;
    for (Lesson& lesson : *found) {
      if (auto whole = add_recipients(lesson); !whole) return Unexpected(whole.error());
    }
    return found;
  }

  Result<bool> change(const Lesson& l) override {
    return db().transaction([&]() -> Result<bool> {
      const auto rows = db().change(
          "UPDATE lessons SET items=?, note=?, tempo_bpm=?, paper=?, dated=?, due=?, state=?,"
          " may_say=?, failure_file=?, failure_place=?, failure_what=?, failure_remedy=?"
          " WHERE id=?",
          l.items, l.note, l.tempo_bpm, l.paper, l.date, l.due, l.state, l.may_say,
          failure_text(l.failure, &Error::file), failure_text(l.failure, &Error::place),
          failure_text(l.failure, &Error::what), failure_text(l.failure, &Error::remedy), l.id);
      if (!rows) return Unexpected(rows.error());
      if (*rows == 0) return false;
      if (auto given = give(l); !given) return Unexpected(given.error());
      return true;
    });
  }

  Result<bool> remove(Id id) override {
    const auto lesson = find(id);
    if (!lesson) return Unexpected(lesson.error());
    if (!*lesson) return false;
    if (auto gone = db().change("DELETE FROM lessons WHERE id = ?", id); !gone) {
      return Unexpected(gone.error());
    }
    auto gone = shelf_.discard(shelf_.lessons(), {(*lesson)->folder_name});
    return gone ? Result<bool>(true) : Unexpected(gone.error());
  }

  std::filesystem::path folder(const Lesson& l) const override {
    return shelf_.lessons() / l.folder_name;
  }

 private:
  Database& db() { return *shelf_.database; }

  Result<std::optional<Lesson>> whole(Result<std::optional<Lesson>> found) {
    if (!found || !*found) return found;
    if (auto added = add_recipients(**found); !added) return Unexpected(added.error());
    return found;
  }

  // Those that are no longer there are passed over.
  Result<void> give(const Lesson& l) {
    if (auto gone = db().change("DELETE FROM lesson_for WHERE lesson = ?", l.id); !gone) {
      return Unexpected(gone.error());
    }
    for (const Id student : l.students) {
      auto added = db().change(
          "INSERT INTO lesson_for SELECT ?, id, NULL FROM students WHERE id = ?", l.id, student);
      if (!added) return Unexpected(added.error());
    }
    for (const Id group : l.groups) {
      auto added = db().change("INSERT INTO lesson_for SELECT ?, NULL, id FROM groups WHERE id = ?",
                               l.id, group);
      if (!added) return Unexpected(added.error());
    }
    return {};
  }

  Result<void> add_recipients(Lesson& l) {
    const auto rows = db().rows(
        "SELECT student, group_id FROM lesson_for WHERE lesson = ? ORDER BY 1, 2",
        [](Row r) { return std::pair(r.maybe_integer(0), r.maybe_integer(1)); }, l.id);
    if (!rows) return Unexpected(rows.error());
    for (const auto& [student, group] : *rows) {
      if (student) l.students.push_back(*student);
      if (group) l.groups.push_back(*group);
    }
    return {};
  }

  Shelf& shelf_;
};

}  // namespace

std::unique_ptr<Lessons> sqlite_lessons(Shelf& shelf) {
  return std::make_unique<SqliteLessons>(shelf);
}

}  // namespace endpin::book
