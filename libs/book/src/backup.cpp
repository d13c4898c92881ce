#include "backup.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <memory>

#include <unistd.h>
#include <zip.h>

namespace endpin::book {
namespace {

namespace fs = std::filesystem;

Error zip_error(const fs::path& file, const std::string& what) {
  return {ErrorKind::machine, file.string(), "", "the backup cannot be written: " + what,
          "Check that there is room, and that the folder may be written to."};
}

zip_source_t* source_of(zip_t* zip, const ArchiveEntry& entry) {
  if (!entry.file.empty()) return zip_source_file(zip, entry.file.c_str(), 0, -1);
  return zip_source_buffer(zip, entry.text.data(), entry.text.size(), 0);
}

/// A zip that is written when `close` succeeds, and not at all otherwise.
class ZipOut {
 public:
  explicit ZipOut(const fs::path& file) : file_(file) {
    int code = 0;
    zip_ = zip_open(file.c_str(), ZIP_CREATE | ZIP_TRUNCATE, &code);
  }
  ~ZipOut() {
    if (zip_ != nullptr) zip_discard(zip_);
  }
  ZipOut(const ZipOut&) = delete;
  ZipOut& operator=(const ZipOut&) = delete;

  Result<void> add(const fs::path& from, const std::string& as, bool compress) {
    return add({as, from, {}}, compress);
  }
  Result<void> add(const ArchiveEntry& wanted, bool compress) {
    if (zip_ == nullptr) return Unexpected(zip_error(file_, "no file can be made there"));
    zip_source_t* source = source_of(zip_, wanted);
    const std::string& as = wanted.name;
    const zip_int64_t index =
        source ? zip_file_add(zip_, as.c_str(), source, ZIP_FL_ENC_UTF_8) : -1;
    if (index < 0) {
      if (source != nullptr) zip_source_free(source);
      return Unexpected(zip_error(file_, zip_strerror(zip_)));
    }
    const auto entry = static_cast<zip_uint64_t>(index);
    zip_set_file_compression(zip_, entry, compress ? ZIP_CM_DEFLATE : ZIP_CM_STORE, 1);
    return {};
  }

  Result<void> close() {
    if (zip_ == nullptr || zip_close(zip_) != 0) {
      return Unexpected(zip_error(file_, zip_ ? zip_strerror(zip_) : "no file can be made there"));
    }
    zip_ = nullptr;
    return {};
  }

 private:
  fs::path file_;
  zip_t* zip_ = nullptr;
};

// Files that can be made again from the original are left out.
bool worth_keeping(const fs::path& file) { return file.filename() != "audio.wav"; }

Result<void> add_folder(ZipOut& zip, const fs::path& root, const fs::path& folder) {
  std::error_code failed;
  for (const auto& entry : fs::recursive_directory_iterator(folder, failed)) {
    if (!entry.is_regular_file(failed) || !worth_keeping(entry.path())) continue;
    const std::string as = entry.path().lexically_relative(root).generic_string();
    const bool compress = entry.path().extension() == ".json";
    if (auto added = zip.add(entry.path(), as, compress); !added) return added;
  }
  if (failed) return Unexpected(zip_error(folder, failed.message()));
  return {};
}

Result<void> write_zip(Shelf& shelf, const fs::path& database, const fs::path& part) {
  ZipOut zip(part);
  if (auto added = zip.add(database, "book.sqlite3", true); !added) return added;
  for (const fs::path& folder : shelf.kept()) {
    if (auto added = add_folder(zip, shelf.folder, folder); !added) return added;
  }
  return zip.close();
}

struct Removed {
  fs::path path;
  ~Removed() {
    std::error_code ignored;
    if (!path.empty()) fs::remove_all(path, ignored);
  }
};

bool safe_entry(const std::string& name) {
  if (name.empty() || name.front() == '/' || name.find('\\') != std::string::npos) return false;
  for (const fs::path& word : fs::path(name)) {
    if (word == ".." || word == ".") return false;
  }
  if (name == "book.sqlite3") return true;
  const auto kept = Shelf{}.kept();
  return std::any_of(kept.begin(), kept.end(), [&](const fs::path& folder) {
    return name.rfind(folder.filename().string() + "/", 0) == 0;
  });
}

Error not_a_backup(const fs::path& file, const std::string& what) {
  return {ErrorKind::input, file.string(), "", what,
          "Choose a file that `endpin desk --backup` wrote."};
}

Result<void> unpack_entry(zip_t* zip, zip_uint64_t index, const fs::path& target) {
  std::error_code failed;
  fs::create_directories(target.parent_path(), failed);
  std::unique_ptr<zip_file_t, decltype(&zip_fclose)> in(zip_fopen_index(zip, index, 0), zip_fclose);
  std::ofstream out(target, std::ios::binary);
  std::array<char, 65536> block;
  while (in && out) {
    const zip_int64_t got = zip_fread(in.get(), block.data(), block.size());
    if (got == 0 && out.flush()) return {};
    if (got <= 0) break;
    out.write(block.data(), got);
  }
  if (!out) return Unexpected(zip_error(target, "writing stopped"));
  return Unexpected(not_a_backup(target, "the backup is damaged"));
}

Result<void> unpack(const fs::path& file, const fs::path& folder) {
  int code = 0;
  std::unique_ptr<zip_t, decltype(&zip_discard)> zip(zip_open(file.c_str(), ZIP_RDONLY, &code),
                                                     zip_discard);
  if (!zip || zip_name_locate(zip.get(), "book.sqlite3", 0) < 0) {
    return Unexpected(not_a_backup(file, "is not a backup of a book"));
  }
  const zip_int64_t count = zip_get_num_entries(zip.get(), 0);
  for (zip_uint64_t i = 0; i < static_cast<zip_uint64_t>(count); ++i) {
    const char* name = zip_get_name(zip.get(), i, 0);
    if (name == nullptr || !safe_entry(name)) {
      return Unexpected(not_a_backup(file, "holds a file that a book does not have"));
    }
    if (auto done = unpack_entry(zip.get(), i, folder / name); !done) return done;
  }
  return {};
}

}  // namespace

Result<void> write_backup(Shelf& shelf, const fs::path& file) {
  const std::string mark = random_hex(8);
  const Removed database{shelf.incoming() / (mark + ".sqlite3")};
  Removed part{fs::absolute(file).string() + "." + mark + ".part"};
  // The transaction keeps takes from being deleted between the database's copy and the files'.
  auto written = shelf.database->transaction([&]() -> Result<void> {
    if (auto copied = shelf.database->copy_to(database.path); !copied) return copied;
    return write_zip(shelf, database.path, part.path);
  });
  if (!written) return written;
  ::sync();
  std::error_code failed;
  fs::rename(part.path, file, failed);
  if (failed) return Unexpected(zip_error(file, failed.message()));
  return {};
}

Result<void> write_archive(const fs::path& file, const std::vector<ArchiveEntry>& entries) {
  Removed part{fs::absolute(file).string() + "." + random_hex(8) + ".part"};
  ZipOut zip(part.path);
  for (const ArchiveEntry& entry : entries) {
    if (auto added = zip.add(entry, entry.file.empty()); !added) return added;
  }
  if (auto closed = zip.close(); !closed) return closed;
  std::error_code failed;
  fs::rename(part.path, file, failed);
  if (failed) return Unexpected(zip_error(file, failed.message()));
  return {};
}

Result<void> restore_book(const fs::path& file, const fs::path& folder) {
  std::error_code failed;
  if (fs::exists(folder, failed) && !fs::is_empty(folder, failed)) {
    return Unexpected(Error{ErrorKind::usage, folder.string(), "", "the folder is not empty",
                            "Choose a new folder with --book."});
  }
  fs::create_directories(folder.parent_path().empty() ? "." : folder.parent_path(), failed);
  Removed staged{folder.string() + "." + random_hex(8) + ".part"};
  fs::create_directory(staged.path, failed);
  if (failed) return Unexpected(zip_error(staged.path, failed.message()));
  if (auto done = unpack(file, staged.path); !done) return done;
  fs::remove(folder, failed);
  fs::rename(staged.path, folder, failed);
  if (failed) return Unexpected(zip_error(folder, failed.message()));
  return {};
}

}  // namespace endpin::book
