#include "failure_columns.h"
#include "shelf.h"

namespace endpin::book {
namespace {

const std::string columns =
    "SELECT c.id, c.piece, c.folder_name, c.wanted, c.state, c.failure_file, c.failure_place,"
    " c.failure_what, c.failure_remedy, c.created, p.title"
    " FROM class_sets c JOIN pieces p ON p.id = c.piece ";

ClassSet read_class_set(Row row) {
  ClassSet c;
  c.id = row.integer(0);
  c.piece = row.integer(1);
  c.folder_name = row.text(2);
  c.wanted = row.text(3);
  c.state = row.text(4);
  c.failure = read_failure(row, 5);
  c.created = row.text(9);
  c.piece_title = row.text(10);
  return c;
}

class SqliteClassSets final : public ClassSets {
 public:
  explicit SqliteClassSets(Shelf& shelf) : shelf_(shelf) {}

  Result<Id> add(const ClassSet& c) override {
    return db().insert(
        "INSERT INTO class_sets (piece, folder_name, wanted, state, created) VALUES (?,?,?,?,?)",
        c.piece, random_hex(8), c.wanted, c.state, shelf_.now());
  }

  Result<std::optional<ClassSet>> find(Id id) override {
    return db().row(columns + "WHERE c.id = ?", read_class_set, id);
  }

  Result<std::vector<ClassSet>> list(std::optional<Id> piece) override {
    return db().rows(columns + "WHERE ?1 IS NULL OR c.piece = ?1 ORDER BY c.id DESC",
                     read_class_set, piece);
  }

  Result<bool> change(const ClassSet& c) override {
    return db()
        .change(
            "UPDATE class_sets SET state=?, failure_file=?, failure_place=?, failure_what=?,"
            " failure_remedy=? WHERE id=?",
            c.state, failure_text(c.failure, &Error::file), failure_text(c.failure, &Error::place),
            failure_text(c.failure, &Error::what), failure_text(c.failure, &Error::remedy), c.id)
        .transform([](int rows) { return rows > 0; });
  }

  Result<bool> remove(Id id) override {
    const auto set = find(id);
    if (!set) return Unexpected(set.error());
    if (!*set) return false;
    auto gone = db().change("DELETE FROM class_sets WHERE id = ?", id);
    if (!gone) return Unexpected(gone.error());
    auto cleared = shelf_.discard(shelf_.class_sets(), {(*set)->folder_name});
    return cleared ? Result<bool>(true) : Unexpected(cleared.error());
  }

  std::filesystem::path folder(const ClassSet& c) const override {
    return shelf_.class_sets() / c.folder_name;
  }

 private:
  Database& db() { return *shelf_.database; }

  Shelf& shelf_;
};

}  // namespace

std::unique_ptr<ClassSets> sqlite_class_sets(Shelf& shelf) {
  return std::make_unique<SqliteClassSets>(shelf);
}

}  // namespace endpin::book
