#pragma once

#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include <sqlite3.h>

#include "endpin/base/result.h"

namespace endpin::book {

/// One row of an answer; valid until the reader returns.
class Row {
 public:
  explicit Row(sqlite3_stmt* statement) : statement_(statement) {}
  std::int64_t integer(int column) const { return sqlite3_column_int64(statement_, column); }
  int small(int column) const { return sqlite3_column_int(statement_, column); }
  bool flag(int column) const { return small(column) != 0; }
  std::string text(int column) const;
  std::optional<std::string> maybe_text(int column) const;
  std::optional<double> maybe_real(int column) const;
  std::optional<std::int64_t> maybe_integer(int column) const;

 private:
  bool null(int column) const;
  sqlite3_stmt* statement_;
};

/// SQLite with prepared statements that are kept. Every call takes the one lock, so it may be used
/// from several threads; a transaction holds it throughout.
class Database {
 public:
  static Result<std::unique_ptr<Database>> open(const std::filesystem::path& file);
  ~Database();
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;

  /// Several statements without values.
  Result<void> run(const std::string& sql);

  /// How many rows it changed.
  template <typename... Values>
  Result<int> change(const std::string& sql, const Values&... values) {
    const std::lock_guard lock(mutex_);
    Prepared statement = prepare(sql);
    (statement.bind(values), ...);
    return finish(statement) ? Result<int>(sqlite3_changes(handle_)) : Unexpected(failure());
  }

  /// The new row's number.
  template <typename... Values>
  Result<std::int64_t> insert(const std::string& sql, const Values&... values) {
    const std::lock_guard lock(mutex_);
    Prepared statement = prepare(sql);
    (statement.bind(values), ...);
    if (!finish(statement)) return Unexpected(failure());
    return static_cast<std::int64_t>(sqlite3_last_insert_rowid(handle_));
  }

  template <typename Reader, typename... Values>
  auto rows(const std::string& sql, const Reader& read, const Values&... values)
      -> Result<std::vector<decltype(read(std::declval<Row>()))>> {
    const std::lock_guard lock(mutex_);
    Prepared statement = prepare(sql);
    (statement.bind(values), ...);
    std::vector<decltype(read(std::declval<Row>()))> found;
    while (statement.step()) found.push_back(read(Row(statement.handle())));
    if (!statement.ended_well()) return Unexpected(failure());
    return found;
  }

  template <typename Reader, typename... Values>
  auto row(const std::string& sql, const Reader& read, const Values&... values)
      -> Result<std::optional<decltype(read(std::declval<Row>()))>> {
    auto found = rows(sql, read, values...);
    if (!found) return Unexpected(found.error());
    if (found->empty()) return std::optional<decltype(read(std::declval<Row>()))>();
    return std::optional(std::move(found->front()));
  }

  template <typename... Values>
  Result<int> number(const std::string& sql, const Values&... values) {
    const auto found = row(
        sql, [](Row r) { return r.small(0); }, values...);
    if (!found) return Unexpected(found.error());
    return found->value_or(0);
  }

  /// All of `steps` or nothing of it. `steps` returns a Result. May be nested.
  template <typename Steps>
  auto transaction(const Steps& steps) -> decltype(steps()) {
    const std::lock_guard lock(mutex_);
    if (depth_ > 0) return steps();
    if (auto begun = run("BEGIN IMMEDIATE"); !begun) return Unexpected(begun.error());
    ++depth_;
    auto result = steps();
    --depth_;
    if (result) {
      if (auto done = run("COMMIT"); !done) {
        roll_back();
        return Unexpected(done.error());
      }
    } else {
      roll_back();
    }
    return result;
  }

  /// Removes from the disk what was deleted: SQLite's log is emptied.
  Result<void> forget_deleted();
  /// The whole database as it is now, to a new file.
  Result<void> copy_to(const std::filesystem::path& file);
  const std::filesystem::path& file() const { return file_; }

 private:
  class Prepared {
   public:
    Prepared(sqlite3_stmt* statement, int failed) : statement_(statement), code_(failed) {}
    ~Prepared();
    Prepared(const Prepared&) = delete;
    Prepared& operator=(const Prepared&) = delete;
    void bind(std::int64_t value) { keep(sqlite3_bind_int64(statement_, ++at_, value)); }
    void bind(int value) { bind(static_cast<std::int64_t>(value)); }
    void bind(bool value) { bind(static_cast<std::int64_t>(value)); }
    void bind(double value) { keep(sqlite3_bind_double(statement_, ++at_, value)); }
    void bind(std::string_view value);
    void bind(const std::string& value) { bind(std::string_view(value)); }
    void bind(const char* value) { bind(std::string_view(value)); }
    template <typename T>
    void bind(const std::optional<T>& value) {
      if (value) return bind(*value);
      keep(sqlite3_bind_null(statement_, ++at_));
    }
    bool step();
    bool ended_well() const { return code_ == SQLITE_OK || code_ == SQLITE_DONE; }
    sqlite3_stmt* handle() { return statement_; }

   private:
    void keep(int code) {
      if (ended_well()) code_ = code;
    }
    sqlite3_stmt* statement_;
    int code_;
    int at_ = 0;
  };

  explicit Database(std::filesystem::path file) : file_(std::move(file)) {}
  Prepared prepare(const std::string& sql);
  bool finish(Prepared& statement);
  Error failure() const;
  void roll_back();

  std::filesystem::path file_;
  sqlite3* handle_ = nullptr;
  std::unordered_map<std::string, sqlite3_stmt*> prepared_;
  std::recursive_mutex mutex_;
  int depth_ = 0;
};

}  // namespace endpin::book
