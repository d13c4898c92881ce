#include "endpin/notation/read.h"

#include "abc_file.h"
#include "archive.h"
#include "encoding.h"
#include "fmt/format.h"
#include "midi_file.h"
#include "numbers.h"
#include "readers.h"

namespace endpin {
namespace {

using namespace std::string_view_literals;

/// The first characters as text, whatever the encoding.
std::string beginning(std::string_view bytes) {
  constexpr std::size_t enough = 4096;
  return notation::to_utf8(bytes.substr(0, enough));
}

bool looks_like_xml(std::string_view text) { return notation::trimmed(text).starts_with('<'); }

}  // namespace

std::optional<Format> sniff_format(std::string_view bytes) {
  if (bytes.starts_with("PK\x03\x04"sv)) return Format::compressed_musicxml;
  if (notation::is_midi(bytes)) return Format::midi;
  const std::string text = beginning(bytes);
  if (looks_like_xml(text)) return Format::musicxml;
  if (notation::looks_like_abc(text)) return Format::abc;
  return std::nullopt;
}

Result<Score> read_score(std::string_view bytes, const ReadOptions& options) {
  notation::Messages messages(options.file);
  if (bytes.empty()) return messages.error(0, "the file is empty", "Give a file with a score.");
  if (bytes.size() > most_score_bytes) {
    return messages.error(0, fmt::format("the file is larger than {} MiB", most_score_bytes >> 20),
                          "Split the score into smaller ones.");
  }
  const auto format = sniff_format(bytes);
  if (!format) {
    return messages.error(0, "this is no score that can be read",
                          "Give MusicXML (.musicxml, .mxl), ABC or MIDI.");
  }
  if (*format == Format::compressed_musicxml) {
    auto text = notation::unpack_mxl(bytes, messages);
    if (!text) return Unexpected(text.error());
    return notation::read_musicxml(notation::to_utf8(*text), messages);
  }
  if (*format == Format::midi) return notation::read_midi(bytes, messages);
  const std::string text = notation::to_utf8(bytes);
  if (*format == Format::abc) return notation::read_abc(text, options.tune, messages);
  return notation::read_musicxml(text, messages);
}

}  // namespace endpin
