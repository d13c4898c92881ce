#include <charconv>
#include <chrono>
#include <set>
#include <thread>

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include "endpin/book/book.h"

#include "backup.h"
#include "migrations.h"
#include "shelf.h"

namespace endpin::book {
namespace {

namespace fs = std::filesystem;

/// Held while the book is open; the system lets go of it when the program ends, however it ends.
class FolderLock {
 public:
  static Result<FolderLock> take(const fs::path& folder) {
    FolderLock lock;
    lock.file_ = ::open((folder / "lock").c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (lock.file_ < 0) {
      return Unexpected(Error{ErrorKind::machine, folder.string(), "",
                              "the book's folder cannot be written",
                              "Check who may write to it, or choose another with --book."});
    }
    if (!lock.gained()) {
      return Unexpected(Error{ErrorKind::machine, folder.string(), "",
                              "another desk has this book open",
                              "Use that one, or stop it first."});
    }
    return lock;
  }
  FolderLock() = default;
  FolderLock(FolderLock&& other) noexcept : file_(std::exchange(other.file_, -1)) {}
  FolderLock& operator=(FolderLock&& other) noexcept {
    std::swap(file_, other.file_);
    return *this;
  }
  ~FolderLock() {
    if (file_ >= 0) ::close(file_);
  }

 private:
  // A desk that was killed while it started a child has left the lock with the child until that has
  // become its own program, which takes a moment on a busy machine.
  bool gained() const {
    constexpr auto patience = std::chrono::seconds(2);
    constexpr auto pause = std::chrono::milliseconds(20);
    const auto until = std::chrono::steady_clock::now() + patience;
    while (::flock(file_, LOCK_EX | LOCK_NB) != 0) {
      if (std::chrono::steady_clock::now() > until) return false;
      std::this_thread::sleep_for(pause);
    }
    return true;
  }

  int file_ = -1;
};

class SqliteBook final : public Book {
 public:
  SqliteBook(FolderLock lock, std::unique_ptr<Shelf> shelf)
      : lock_(std::move(lock)),
        shelf_(std::move(shelf)),
        students_(sqlite_students(*shelf_)),
        pieces_(sqlite_pieces(*shelf_)),
        takes_(sqlite_takes(*shelf_)),
        lessons_(sqlite_lessons(*shelf_)),
        drafts_(sqlite_drafts(*shelf_)),
        class_sets_(sqlite_class_sets(*shelf_)),
        words_(sqlite_words(*shelf_)) {}

  Students& students() override { return *students_; }
  Pieces& pieces() override { return *pieces_; }
  Takes& takes() override { return *takes_; }
  Lessons& lessons() override { return *lessons_; }
  Drafts& drafts() override { return *drafts_; }
  ClassSets& class_sets() override { return *class_sets_; }
  TeachersWords& words() override { return *words_; }
  const fs::path& folder() const override { return shelf_->folder; }
  const Clock& clock() const override { return shelf_->clock; }

  Result<Settings> settings() override {
    const auto rows = db().rows("SELECT name, value FROM settings",
                                [](Row r) { return std::pair(r.text(0), r.text(1)); });
    if (!rows) return Unexpected(rows.error());
    Settings s;
    for (const auto& [name, value] : *rows) {
      if (name == "language") s.language = value;
      if (name == "retention_days") s.retention_days = std::atoi(value.c_str());
      if (name == "a4_hz" && !value.empty()) s.a4 = std::strtod(value.c_str(), nullptr);
      if (name == "set_up") s.set_up = value == "1";
      if (name == "house_rules") s.house_rules = value;
    }
    return s;
  }

  Result<void> change_settings(const Settings& s) override {
    return db().transaction([&]() -> Result<void> {
      const std::pair<const char*, std::string> values[] = {
          {"language", s.language},
          {"retention_days", std::to_string(s.retention_days)},
          {"a4_hz", s.a4 ? std::to_string(*s.a4) : ""},
          {"set_up", s.set_up ? "1" : "0"},
          {"house_rules", s.house_rules}};
      for (const auto& [name, value] : values) {
        auto kept = db().change("INSERT OR REPLACE INTO settings VALUES (?, ?)", name, value);
        if (!kept) return Unexpected(kept.error());
      }
      return {};
    });
  }

  Result<Counts> counts() override {
    const auto found = db().row(
        "SELECT (SELECT count(*) FROM students WHERE archived = 0), (SELECT count(*) FROM groups),"
        " (SELECT count(*) FROM pieces), (SELECT count(*) FROM lessons), (SELECT count(*) FROM "
        "takes),"
        " (SELECT count(*) FROM takes WHERE seen = 0)",
        [](Row r) {
          return Counts{r.small(0), r.small(1), r.small(2), r.small(3), r.small(4), r.small(5)};
        });
    if (!found) return Unexpected(found.error());
    return found->value_or(Counts{});
  }

  Result<Upload> upload(std::int64_t limit) override {
    return Upload::begin(shelf_->incoming(), limit);
  }

  Result<int> sweep() override {
    std::vector<std::string> folders;
    auto removed = db().transaction([&]() -> Result<int> {
      auto names = db().rows("SELECT folder_name FROM takes WHERE delete_after < ?", first_text,
                             date(shelf_->today()));
      if (!names) return Unexpected(names.error());
      folders = std::move(*names);
      return db().change("DELETE FROM takes WHERE delete_after < ?", date(shelf_->today()));
    });
    if (!removed || *removed == 0) return removed;
    if (auto gone = shelf_->discard(shelf_->takes(), folders); !gone) {
      return Unexpected(gone.error());
    }
    return removed;
  }

  Result<void> back_up(const fs::path& file) override { return write_backup(*shelf_, file); }

 private:
  Database& db() { return *shelf_->database; }

  FolderLock lock_;
  std::unique_ptr<Shelf> shelf_;
  std::unique_ptr<Students> students_;
  std::unique_ptr<Pieces> pieces_;
  std::unique_ptr<Takes> takes_;
  std::unique_ptr<Lessons> lessons_;
  std::unique_ptr<Drafts> drafts_;
  std::unique_ptr<ClassSets> class_sets_;
  std::unique_ptr<TeachersWords> words_;
};

Result<void> make_folders(const Shelf& shelf) {
  std::vector<fs::path> folders = shelf.kept();
  folders.insert(folders.end(), {shelf.folder, shelf.incoming(), shelf.cache()});
  for (const fs::path& folder : folders) {
    std::error_code failed;
    fs::create_directories(folder, failed);
    if (failed) {
      return Unexpected(Error{ErrorKind::machine, folder.string(), "",
                              "the folder cannot be made: " + failed.message(),
                              "Check the place, or choose another with --book."});
    }
  }
  // Children's recordings: nobody else on the machine may look in.
  std::error_code ignored;
  fs::permissions(shelf.folder, fs::perms::owner_all, ignored);
  return {};
}

// An empty database beside recordings means that the database was lost, not that they are stray.
Result<void> refuse_lost_database(const Shelf& shelf) {
  std::error_code failed;
  if (fs::exists(shelf.folder / "book.sqlite3", failed)) return {};
  for (const fs::path& folder : {shelf.takes(), shelf.pieces()}) {
    if (fs::exists(folder, failed) && !fs::is_empty(folder, failed)) {
      return Unexpected(Error{ErrorKind::machine, (shelf.folder / "book.sqlite3").string(), "",
                              "is gone, though recordings or pieces are still there",
                              "Restore the book from a backup into a new folder."});
    }
  }
  return {};
}

Result<void> remove_strays(Shelf& shelf, const fs::path& where, const char* table) {
  const auto rows =
      shelf.database->rows(std::string("SELECT folder_name FROM ") + table, first_text);
  if (!rows) return Unexpected(rows.error());
  const std::set<std::string> known(rows->begin(), rows->end());
  std::error_code failed;
  for (const auto& entry : fs::directory_iterator(where, failed)) {
    if (!known.count(entry.path().filename().string())) fs::remove_all(entry.path(), failed);
  }
  return {};
}

Result<void> reconcile(Shelf& shelf) {
  std::error_code failed;
  for (const auto& entry : fs::directory_iterator(shelf.incoming(), failed)) {
    fs::remove_all(entry.path(), failed);
  }
  if (auto done = remove_strays(shelf, shelf.takes(), "takes"); !done) return done;
  if (auto done = remove_strays(shelf, shelf.lessons(), "lessons"); !done) return done;
  if (auto done = remove_strays(shelf, shelf.drafts(), "drafts"); !done) return done;
  if (auto done = remove_strays(shelf, shelf.class_sets(), "class_sets"); !done) return done;
  return remove_strays(shelf, shelf.pieces(), "pieces");
}

Result<void> check_health(Database& database) {
  const auto word = database.row("PRAGMA quick_check(1)", first_text);
  if (word && *word && **word == "ok") return {};
  return Unexpected(
      Error{ErrorKind::machine, database.file().string(), "", "the book is damaged",
            "Restore it from a backup: endpin desk --book NEW_FOLDER --restore FILE"});
}

}  // namespace

Result<std::unique_ptr<Book>> open_book(const fs::path& folder, const OpenOptions& options) {
  auto shelf = std::make_unique<Shelf>();
  shelf->folder = fs::absolute(folder).lexically_normal();
  shelf->clock = options.clock;
  if (auto made = make_folders(*shelf); !made) return Unexpected(made.error());
  auto lock = FolderLock::take(shelf->folder);
  if (!lock) return Unexpected(lock.error());
  if (auto sound = refuse_lost_database(*shelf); !sound) return Unexpected(sound.error());
  auto database = Database::open(shelf->folder / "book.sqlite3");
  if (!database) return Unexpected(database.error());
  shelf->database = std::move(*database);
  if (auto sound = check_health(*shelf->database); !sound) return Unexpected(sound.error());
  if (auto done = migrate(*shelf->database); !done) return Unexpected(done.error());
  if (auto done = reconcile(*shelf); !done) return Unexpected(done.error());
  std::unique_ptr<Book> book = std::make_unique<SqliteBook>(std::move(*lock), std::move(shelf));
  if (auto queued = book->takes().queue_interrupted(); !queued) return Unexpected(queued.error());
  return book;
}

}  // namespace endpin::book
