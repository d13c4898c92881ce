#include "shelf.h"

namespace endpin::book {
namespace {

const std::string columns =
    "SELECT id, folder_name, text, instrument, piece, page_name, changed FROM drafts ";

Draft read_draft(Row row) {
  return {row.integer(0),       row.text(1), row.text(2), row.text(3),
          row.maybe_integer(4), row.text(5), row.text(6)};
}

class SqliteDrafts final : public Drafts {
 public:
  explicit SqliteDrafts(Shelf& shelf) : shelf_(shelf) {}

  Result<Id> add(const Draft& d) override {
    return db().insert(
        "INSERT INTO drafts (folder_name, text, instrument, piece, changed) VALUES (?,?,?,?,?)",
        random_hex(8), d.text, d.instrument, d.piece, shelf_.now());
  }

  Result<std::optional<Draft>> find(Id id) override {
    return db().row(columns + "WHERE id = ?", read_draft, id);
  }

  Result<std::optional<Draft>> of_piece(Id piece) override {
    return db().row(columns + "WHERE piece = ? ORDER BY changed DESC LIMIT 1", read_draft, piece);
  }

  Result<std::vector<Draft>> list() override {
    return db().rows(columns + "ORDER BY changed DESC, id DESC", read_draft);
  }

  Result<bool> change(const Draft& d) override {
    return db()
        .change("UPDATE drafts SET text=?, instrument=?, piece=?, changed=? WHERE id=?", d.text,
                d.instrument, d.piece, shelf_.now(), d.id)
        .transform([](int rows) { return rows > 0; });
  }

  Result<void> set_page(const Draft& d, const std::string& name, Upload upload) override {
    Draft next = d;
    next.page_name = name;
    std::error_code failed;
    std::filesystem::create_directory(shelf_.drafts() / d.folder_name, failed);
    if (auto moved = upload.move_to(page(next)); !moved) return moved;
    auto set = db().change("UPDATE drafts SET page_name=? WHERE id=?", name, d.id);
    if (!set) return Unexpected(set.error());
    if (!d.page_name.empty() && page(d) != page(next)) std::filesystem::remove(page(d), failed);
    return {};
  }

  Result<bool> remove(Id id) override {
    const auto draft = find(id);
    if (!draft) return Unexpected(draft.error());
    if (!*draft) return false;
    if (auto gone = db().change("DELETE FROM drafts WHERE id = ?", id); !gone) {
      return Unexpected(gone.error());
    }
    auto gone = shelf_.discard(shelf_.drafts(), {(*draft)->folder_name});
    return gone ? Result<bool>(true) : Unexpected(gone.error());
  }

  std::filesystem::path page(const Draft& d) const override {
    return shelf_.drafts() / d.folder_name / ("page" + plain_extension(d.page_name));
  }

 private:
  Database& db() { return *shelf_.database; }
  Shelf& shelf_;
};

}  // namespace

std::unique_ptr<Drafts> sqlite_drafts(Shelf& shelf) {
  return std::make_unique<SqliteDrafts>(shelf);
}

}  // namespace endpin::book
