#include "archive.h"

#include <memory>

#include <zip.h>

#include "endpin/notation/read.h"

#include "fmt/format.h"
#include "xml_source.h"

namespace endpin::notation {
namespace {

struct CloseArchive {
  void operator()(zip_t* archive) const { zip_discard(archive); }
};
struct CloseEntry {
  void operator()(zip_file_t* entry) const { zip_fclose(entry); }
};
using Archive = std::unique_ptr<zip_t, CloseArchive>;

Archive open(std::string_view bytes) {
  zip_source_t* source = zip_source_buffer_create(bytes.data(), bytes.size(), 0, nullptr);
  if (source == nullptr) return nullptr;
  Archive archive(zip_open_from_source(source, ZIP_RDONLY, nullptr));
  if (!archive) zip_source_free(source);
  return archive;
}

/// An entry's bytes; nullopt if it is missing or damaged. What it claims to hold is not believed:
/// one byte more than `most` is read at most.
std::optional<std::string> entry(zip_t* archive, const std::string& name, std::size_t most) {
  const std::unique_ptr<zip_file_t, CloseEntry> file(
      zip_fopen(archive, name.c_str(), ZIP_FL_ENC_GUESS));
  if (!file) return std::nullopt;
  std::string text;
  std::string block(std::size_t{1} << 16, '\0');
  while (text.size() <= most) {
    const zip_int64_t got = zip_fread(file.get(), block.data(), block.size());
    if (got < 0) return std::nullopt;
    if (got == 0) return text;
    text.append(block, 0, static_cast<std::size_t>(got));
  }
  return text;
}

bool is_score_name(std::string_view name) {
  return !name.starts_with("META-INF") &&
         (name.ends_with(".xml") || name.ends_with(".musicxml") || name.ends_with(".XML"));
}

/// The first root file that is a score, "" if the container names none.
std::string named_by_container(std::string_view container, const Messages& messages) {
  const auto source = XmlSource::parse(to_utf8(container), messages);
  if (!source) return {};
  const pugi::xml_node files = source.value()->root().child("rootfiles");
  for (const pugi::xml_node file : files.children("rootfile")) {
    const std::string_view type = file.attribute("media-type").value();
    const bool a_score = type.empty() || type.find("musicxml") != std::string_view::npos;
    if (a_score) return file.attribute("full-path").value();
  }
  return {};
}

std::string score_name(zip_t* archive, const Messages& messages) {
  constexpr std::size_t most_container = std::size_t{1} << 20;
  if (const auto container = entry(archive, "META-INF/container.xml", most_container)) {
    const std::string name = named_by_container(*container, messages);
    if (!name.empty() && zip_name_locate(archive, name.c_str(), 0) >= 0) return name;
  }
  for (zip_int64_t i = 0; i < zip_get_num_entries(archive, 0); ++i) {
    const char* name = zip_get_name(archive, static_cast<zip_uint64_t>(i), 0);
    if (name != nullptr && is_score_name(name)) return name;
  }
  return {};
}

}  // namespace

Result<std::string> unpack_mxl(std::string_view bytes, const Messages& messages) {
  constexpr const char* again = "Save the score again, or as uncompressed MusicXML.";
  const Archive archive = open(bytes);
  if (!archive) return messages.error(0, "the compressed file is damaged or cut short", again);
  const std::string name = score_name(archive.get(), messages);
  if (name.empty()) return messages.error(0, "no score inside the compressed file", again);
  auto text = entry(archive.get(), name, most_score_bytes);
  if (!text) return messages.error(0, fmt::format("{} inside it is damaged", name), again);
  if (text->size() > most_score_bytes) {
    return messages.error(
        0, fmt::format("{} inside it is larger than {} MiB", name, most_score_bytes >> 20),
        "Split the score into smaller ones.");
  }
  return std::move(*text);
}

}  // namespace endpin::notation
