#include "endpin/book/parcel.h"

#include <array>
#include <fstream>
#include <memory>
#include <string_view>

#include <zip.h>

#include "endpin/book/upload.h"

namespace endpin::book {
namespace {

constexpr std::string_view about_name = "take.json";
// Ours: a hearing of ten minutes has some 600 kB.
constexpr std::size_t longest_about = std::size_t{4} << 20;
constexpr zip_int64_t most_entries = 8;

using Zip = std::unique_ptr<zip_t, decltype(&zip_discard)>;
using Entry = std::unique_ptr<zip_file_t, decltype(&zip_fclose)>;

Error no_parcel(const std::string& what) {
  return {ErrorKind::input, "", "", what,
          "Send the file that the take-home page saved, or the recording itself."};
}

/// Hands the entry to `sink` in pieces until it ends or the sink fails.
template <typename Sink>
Result<void> read_entry(zip_t* zip, zip_uint64_t index, const Sink& sink) {
  const Entry in(zip_fopen_index(zip, index, 0), zip_fclose);
  std::array<char, 65536> block;
  while (in) {
    const zip_int64_t got = zip_fread(in.get(), block.data(), block.size());
    if (got == 0) return {};
    if (got < 0) break;
    const std::string_view bytes(block.data(), static_cast<std::size_t>(got));
    if (auto taken = sink(bytes); !taken) return taken;
  }
  return Unexpected(no_parcel("the zip is damaged"));
}

Result<std::string> read_about(zip_t* zip) {
  const zip_int64_t index = zip_name_locate(zip, about_name.data(), 0);
  if (index < 0) return Unexpected(no_parcel("the zip holds no take of a take-home page"));
  std::string text;
  auto read =
      read_entry(zip, static_cast<zip_uint64_t>(index), [&](std::string_view b) -> Result<void> {
        if (text.size() + b.size() > longest_about) {
          return Unexpected(no_parcel("what the zip says about its take is too long"));
        }
        text += b;
        return {};
      });
  if (!read) return Unexpected(read.error());
  return text;
}

/// The entry that is neither `take.json` nor in a folder.
Result<std::pair<zip_uint64_t, std::string>> find_sound(zip_t* zip) {
  for (zip_int64_t i = 0; i < zip_get_num_entries(zip, 0); ++i) {
    const char* name = zip_get_name(zip, static_cast<zip_uint64_t>(i), 0);
    const std::string_view found = name == nullptr ? "" : name;
    if (found.starts_with("take.") && found != about_name) {
      return std::pair(static_cast<zip_uint64_t>(i), plain_file_name(found));
    }
  }
  return Unexpected(no_parcel("the zip holds no recording"));
}

}  // namespace

bool is_zip(const std::filesystem::path& file) {
  std::array<char, 4> begin{};
  std::ifstream(file, std::ios::binary).read(begin.data(), begin.size());
  return std::string_view(begin.data(), begin.size()) == std::string_view("PK\3\4", 4);
}

Result<Parcel> open_parcel(Book& book, const std::filesystem::path& file, std::int64_t limit) {
  int code = 0;
  const Zip zip(zip_open(file.c_str(), ZIP_RDONLY, &code), zip_discard);
  if (!zip || zip_get_num_entries(zip.get(), 0) > most_entries) {
    return Unexpected(no_parcel("this is not a zip that a take-home page makes"));
  }
  auto about = read_about(zip.get());
  if (!about) return Unexpected(about.error());
  const auto sound = find_sound(zip.get());
  if (!sound) return Unexpected(sound.error());
  auto upload = book.upload(limit);
  if (!upload) return Unexpected(upload.error());
  auto read = read_entry(zip.get(), sound->first,
                         [&](std::string_view bytes) { return upload->write(bytes); });
  if (!read) return Unexpected(read.error());
  if (auto kept = upload->finish(); !kept) return Unexpected(kept.error());
  return Parcel{std::move(*about), sound->second, std::move(*upload)};
}

}  // namespace endpin::book
