#include "database.h"

namespace endpin::book {

std::string Row::text(int column) const {
  const unsigned char* bytes = sqlite3_column_text(statement_, column);
  if (bytes == nullptr) return {};
  return {reinterpret_cast<const char*>(bytes),
          static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}

bool Row::null(int column) const { return sqlite3_column_type(statement_, column) == SQLITE_NULL; }

std::optional<std::string> Row::maybe_text(int column) const {
  if (null(column)) return std::nullopt;
  return text(column);
}

std::optional<double> Row::maybe_real(int column) const {
  if (null(column)) return std::nullopt;
  return sqlite3_column_double(statement_, column);
}

std::optional<std::int64_t> Row::maybe_integer(int column) const {
  if (null(column)) return std::nullopt;
  return integer(column);
}

Database::Prepared::~Prepared() {
  sqlite3_reset(statement_);
  sqlite3_clear_bindings(statement_);
}

void Database::Prepared::bind(std::string_view value) {
  // An empty view may have no address, and SQLite takes that for NULL.
  const char* bytes = value.empty() ? "" : value.data();
  keep(sqlite3_bind_text64(statement_, ++at_, bytes, value.size(), SQLITE_TRANSIENT, SQLITE_UTF8));
}

bool Database::Prepared::step() {
  if (!ended_well()) return false;
  code_ = sqlite3_step(statement_);
  return code_ == SQLITE_ROW ? (code_ = SQLITE_OK, true) : false;
}

Result<std::unique_ptr<Database>> Database::open(const std::filesystem::path& file) {
  std::unique_ptr<Database> database(new Database(file));
  const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_FULLMUTEX;
  if (sqlite3_open_v2(file.c_str(), &database->handle_, flags, nullptr) != SQLITE_OK) {
    return Unexpected(database->failure());
  }
  sqlite3_extended_result_codes(database->handle_, 1);
  sqlite3_busy_timeout(database->handle_, 5000);
  // FULL: a commit in the log is on the disk before it is told.
  auto prepared = database->run(
      "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;"
      "PRAGMA secure_delete=ON; PRAGMA trusted_schema=OFF;");
  if (!prepared) return Unexpected(prepared.error());
  return database;
}

Database::~Database() {
  for (auto& [sql, statement] : prepared_) sqlite3_finalize(statement);
  sqlite3_close(handle_);
}

Result<void> Database::run(const std::string& sql) {
  const std::lock_guard lock(mutex_);
  if (sqlite3_exec(handle_, sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK) {
    return Unexpected(failure());
  }
  return {};
}

Database::Prepared Database::prepare(const std::string& sql) {
  sqlite3_stmt*& statement = prepared_[sql];
  int code = SQLITE_OK;
  if (statement == nullptr) {
    code = sqlite3_prepare_v3(handle_, sql.c_str(), static_cast<int>(sql.size()),
                              SQLITE_PREPARE_PERSISTENT, &statement, nullptr);
  }
  return {statement, code};
}

bool Database::finish(Prepared& statement) {
  while (statement.step()) {
  }
  return statement.ended_well();
}

void Database::roll_back() { sqlite3_exec(handle_, "ROLLBACK", nullptr, nullptr, nullptr); }

Result<void> Database::forget_deleted() { return run("PRAGMA wal_checkpoint(TRUNCATE)"); }

Result<void> Database::copy_to(const std::filesystem::path& file) {
  const std::lock_guard lock(mutex_);
  sqlite3* copy = nullptr;
  int code = sqlite3_open(file.c_str(), &copy);
  if (code == SQLITE_OK) {
    // Its own connection reads what is committed; ours may be inside a transaction.
    sqlite3* source = nullptr;
    code = sqlite3_open_v2(file_.c_str(), &source, SQLITE_OPEN_READONLY, nullptr);
    if (sqlite3_backup* backup = sqlite3_backup_init(copy, "main", source, "main")) {
      sqlite3_backup_step(backup, -1);
      code = sqlite3_backup_finish(backup);
    }
    sqlite3_close(source);
  }
  sqlite3_close(copy);
  if (code == SQLITE_OK) return {};
  return Unexpected(Error{ErrorKind::machine, file.string(), "",
                          std::string("the book cannot be copied: ") + sqlite3_errstr(code),
                          "Check that there is room on the disk."});
}

Error Database::failure() const {
  Error error{ErrorKind::machine, file_.string(), "", "", ""};
  switch (handle_ == nullptr ? SQLITE_NOMEM : sqlite3_errcode(handle_) & 0xff) {
    case SQLITE_FULL:
      error.what = "the disk is full";
      error.remedy = "Make room and try again; nothing was changed.";
      break;
    case SQLITE_READONLY:
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
      error.what = "cannot be written";
      error.remedy = "Check that the folder is there, and that it may be written to.";
      break;
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      error.what = "the book is damaged";
      error.remedy = "Restore it from a backup: endpin desk --book NEW_FOLDER --restore FILE";
      break;
    default:
      error.what = handle_ == nullptr ? "out of memory" : sqlite3_errmsg(handle_);
      error.remedy = "Try again; restart the desk if it stays.";
  }
  return error;
}

}  // namespace endpin::book
