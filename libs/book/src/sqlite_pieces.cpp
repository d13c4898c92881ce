#include "shelf.h"

namespace endpin::book {
namespace {

const std::string columns =
    "SELECT p.id, p.title, p.composer, p.rights, p.file_name, p.folder_name, p.sha256, p.bytes,"
    " p.part, p.tune, p.instrument, p.step, p.tempo_bpm, p.facts, p.added,"
    " (SELECT count(*) FROM takes t WHERE t.piece = p.id),"
    " (SELECT count(*) FROM takes t WHERE t.piece = p.id AND t.seen = 0),"
    " coalesce((SELECT overrides FROM mends m WHERE m.piece = p.id"
    " AND m.revision = p.mends_revision), '')"
    " FROM pieces p ";

Piece read_piece(Row row) {
  Piece p;
  p.id = row.integer(0);
  p.title = row.text(1);
  p.composer = row.text(2);
  p.rights = row.text(3);
  p.file_name = row.text(4);
  p.folder_name = row.text(5);
  p.sha256 = row.text(6);
  p.bytes = row.integer(7);
  p.part = row.small(8);
  if (const auto tune = row.maybe_integer(9)) p.tune = static_cast<int>(*tune);
  p.instrument = row.text(10);
  p.step = row.text(11);
  p.tempo_bpm = row.maybe_real(12);
  p.facts = row.text(13);
  p.added = row.text(14);
  p.takes = row.small(15);
  p.new_takes = row.small(16);
  p.mends = row.text(17);
  return p;
}

class SqlitePieces final : public Pieces {
 public:
  explicit SqlitePieces(Shelf& shelf) : shelf_(shelf) {}

  Result<Id> add(Piece p, Upload upload) override {
    p.folder_name = random_hex(8);
    const auto folder = shelf_.pieces() / p.folder_name;
    std::error_code failed;
    std::filesystem::create_directory(folder, failed);
    if (auto moved = upload.move_to(file(p)); !moved) return Unexpected(moved.error());
    if (auto synced = sync_folder(shelf_.pieces()); !synced) return Unexpected(synced.error());
    auto id = db().insert(
        "INSERT INTO pieces (title, composer, rights, file_name, folder_name, sha256, bytes, part,"
        " tune, instrument, step, tempo_bpm, facts, added) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
        p.title, p.composer, p.rights, p.file_name, p.folder_name, upload.hash(), upload.bytes(),
        p.part, p.tune, p.instrument, p.step, p.tempo_bpm, p.facts, shelf_.now());
    if (!id) std::filesystem::remove_all(folder, failed);
    return id;
  }

  Result<void> replace_file(const Piece& p, Upload upload) override {
    const auto before = find(p.id);
    if (!before) return Unexpected(before.error());
    if (!*before) return {};
    // The name changes with the content, so that nothing made from the old one is taken for new.
    std::error_code failed;
    const auto folder = shelf_.pieces() / p.folder_name;
    std::filesystem::rename(file(**before),
                            folder / ("earlier" + plain_extension((*before)->file_name)), failed);
    if (auto moved = upload.move_to(file(p)); !moved) return moved;
    auto set = db().change(
        "UPDATE pieces SET title=?, composer=?, rights=?, file_name=?, sha256=?, bytes=?, part=?,"
        " instrument=?, facts=? WHERE id=?",
        p.title, p.composer, p.rights, p.file_name, upload.hash(), upload.bytes(), p.part,
        p.instrument, p.facts, p.id);
    if (!set) return Unexpected(set.error());
    return {};
  }

  Result<std::optional<Piece>> find(Id id) override {
    return db().row(columns + "WHERE p.id = ?", read_piece, id);
  }

  Result<std::optional<Piece>> find_same(const std::string& sha256, std::optional<int> tune,
                                         int part) override {
    return db().row(columns + "WHERE p.sha256 = ? AND p.tune IS ? AND p.part = ? ORDER BY p.id",
                    read_piece, sha256, tune, part);
  }

  Result<std::optional<Id>> find_content(const std::string& sha256) override {
    return db().row(
        "SELECT id FROM pieces WHERE sha256 = ? ORDER BY id DESC LIMIT 1",
        [](Row r) { return r.integer(0); }, sha256);
  }

  Result<std::vector<Piece>> list(const std::string& text) override {
    return db().rows(columns +
                         "WHERE p.title LIKE ?1 ESCAPE '\\' OR p.composer LIKE ?1 ESCAPE '\\'"
                         " OR p.file_name LIKE ?1 ESCAPE '\\' ORDER BY p.id DESC",
                     read_piece, containing(text));
  }

  Result<bool> change(const Piece& p) override {
    return db()
        .change(
            "UPDATE pieces SET title=?, composer=?, rights=?, part=?, tune=?, instrument=?, step=?,"
            " tempo_bpm=?, facts=? WHERE id=?",
            p.title, p.composer, p.rights, p.part, p.tune, p.instrument, p.step, p.tempo_bpm,
            p.facts, p.id)
        .transform([](int rows) { return rows > 0; });
  }

  Result<bool> remove(Id id) override {
    std::vector<std::string> takes;
    std::vector<std::string> pieces;
    std::vector<std::string> lessons;
    std::vector<std::string> sets;
    auto removed = db().transaction([&]() -> Result<bool> {
      auto names = db().rows("SELECT folder_name FROM takes WHERE piece = ?", first_text, id);
      if (!names) return Unexpected(names.error());
      takes = std::move(*names);
      names = db().rows("SELECT folder_name FROM pieces WHERE id = ?", first_text, id);
      if (!names) return Unexpected(names.error());
      pieces = std::move(*names);
      names = db().rows("SELECT folder_name FROM lessons WHERE piece = ?", first_text, id);
      if (!names) return Unexpected(names.error());
      lessons = std::move(*names);
      names = db().rows("SELECT folder_name FROM class_sets WHERE piece = ?", first_text, id);
      if (!names) return Unexpected(names.error());
      sets = std::move(*names);
      if (auto gone = db().change("DELETE FROM takes WHERE piece = ?", id); !gone) {
        return Unexpected(gone.error());
      }
      return db().change("DELETE FROM pieces WHERE id = ?", id).transform([](int rows) {
        return rows > 0;
      });
    });
    if (!removed || !*removed) return removed;
    auto takes_gone = shelf_.discard(shelf_.takes(), takes);
    auto lessons_gone = shelf_.discard(shelf_.lessons(), lessons);
    auto sets_gone = shelf_.discard(shelf_.class_sets(), sets);
    auto pieces_gone = shelf_.discard(shelf_.pieces(), pieces);
    if (!takes_gone) return Unexpected(takes_gone.error());
    if (!lessons_gone) return Unexpected(lessons_gone.error());
    if (!sets_gone) return Unexpected(sets_gone.error());
    if (!pieces_gone) return Unexpected(pieces_gone.error());
    return true;
  }

  std::filesystem::path file(const Piece& p) const override {
    return shelf_.pieces() / p.folder_name / ("original" + plain_extension(p.file_name));
  }

  Result<Revision> revision(Kept what, Id piece) override {
    const std::string kept = table(what);
    const auto found = db().row(
        "SELECT p." + kept + "_revision, coalesce((SELECT max(revision) FROM " + kept +
            " m WHERE m.piece = p.id), 0), (SELECT overrides FROM " + kept +
            " m WHERE m.piece = p.id AND m.revision = p." + kept +
            "_revision) FROM pieces p WHERE p.id = ?",
        [](Row r) {
          return Revision{r.small(0), r.small(1), r.text(2)};
        },
        piece);
    if (!found) return Unexpected(found.error());
    return found->value_or(Revision{});
  }

  Result<Revision> set(Kept what, Id piece, const std::string& text) override {
    const std::string kept = table(what);
    auto done = db().transaction([&]() -> Result<void> {
      const auto now = revision(what, piece);
      if (!now) return Unexpected(now.error());
      const auto undone = db().change("DELETE FROM " + kept + " WHERE piece = ? AND revision > ?",
                                      piece, now->revision);
      if (!undone) return Unexpected(undone.error());
      const int next = now->revision + 1;
      const auto added =
          db().change("INSERT INTO " + kept + " VALUES (?, ?, ?)", piece, next, text);
      if (!added) return Unexpected(added.error());
      return go_to(what, piece, next);
    });
    if (!done) return Unexpected(done.error());
    return revision(what, piece);
  }

  Result<Revision> step(Kept what, Id piece, int by) override {
    auto done = db().transaction([&]() -> Result<void> {
      const auto now = revision(what, piece);
      if (!now) return Unexpected(now.error());
      const int wanted = now->revision + by;
      if (wanted < 0 || wanted > now->newest) return {};
      return go_to(what, piece, wanted);
    });
    if (!done) return Unexpected(done.error());
    return revision(what, piece);
  }

 private:
  Database& db() { return *shelf_.database; }

  static std::string table(Kept what) { return what == Kept::mends ? "mends" : "markings"; }

  Result<void> go_to(Kept what, Id piece, int revision) {
    auto gone = db().change("UPDATE pieces SET " + table(what) + "_revision = ? WHERE id = ?",
                            revision, piece);
    if (!gone) return Unexpected(gone.error());
    return {};
  }

  Shelf& shelf_;
};

}  // namespace

std::unique_ptr<Pieces> sqlite_pieces(Shelf& shelf) {
  return std::make_unique<SqlitePieces>(shelf);
}

}  // namespace endpin::book
