#include "midi_file.h"

#include <cmath>

#include "fmt/format.h"
#include "midi_track.h"

namespace endpin::notation {
namespace {

using namespace std::string_view_literals;

constexpr std::size_t most_notes = 500'000;
constexpr std::size_t most_tracks = 1024;
constexpr const char* save_again = "Save the file again in the program that made it.";

std::uint32_t big_endian(std::string_view bytes, std::size_t at, std::size_t count) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < count; ++i) {
    value = value << 8 | static_cast<unsigned char>(bytes[at + i]);
  }
  return value;
}

/// A MIDI file may be wrapped in a RIFF file of type RMID.
std::string_view unwrapped(std::string_view bytes) {
  if (!bytes.starts_with("RIFF"sv)) return bytes;
  const std::size_t header = bytes.substr(0, 64).find("MThd"sv);
  return header == bytes.npos ? bytes : bytes.substr(header);
}

/// Ticks a quarter from the header's division; with SMPTE time at the 120 quarters a minute that
/// hold where no tempo is set.
Ticks ticks_per_quarter(std::uint32_t division) {
  if ((division & 0x8000U) == 0) return division;
  const int frames = 256 - static_cast<int>(division >> 8);
  const auto ticks = static_cast<int>(division & 0xFFU);
  return static_cast<Ticks>(std::lround(frames * ticks * 0.5));
}

}  // namespace

bool is_midi(std::string_view bytes) { return unwrapped(bytes).starts_with("MThd"sv); }

Result<MidiFile> parse_midi(std::string_view bytes, Messages& messages) {
  bytes = unwrapped(bytes);
  constexpr std::size_t smallest_header = 14;
  if (bytes.size() < smallest_header) {
    return messages.error(0, "the MIDI file is cut short in its header", save_again);
  }
  MidiFile file;
  const std::uint32_t header_length = big_endian(bytes, 4, 4);
  file.format = static_cast<int>(big_endian(bytes, 8, 2));
  file.ticks_per_quarter = ticks_per_quarter(big_endian(bytes, 12, 2));
  if (file.format > 2 || file.ticks_per_quarter < 1 || header_length > 1024) {
    return messages.error(0, "the MIDI file's header cannot be right", save_again);
  }
  std::size_t at = 8 + header_length;
  std::size_t notes = 0;
  while (at + 8 <= bytes.size() && file.tracks.size() < most_tracks) {
    const std::size_t length = big_endian(bytes, at + 4, 4);
    const std::string_view kind = bytes.substr(at, 4);
    at += 8;
    const std::string_view chunk = bytes.substr(at, length);
    at += std::min(length, bytes.size() - at);
    if (kind != "MTrk") continue;
    MidiTrackReader reader(chunk, most_notes - notes);
    file.tracks.push_back(reader.read());
    notes += file.tracks.back().notes.size();
    if (notes >= most_notes) {
      return messages.error(0, fmt::format("more than {} notes", most_notes),
                            "Split the file into smaller ones.");
    }
    if (!reader.damaged() && chunk.size() == length) continue;
    messages.warn(std::string(), fmt::format("track {} is damaged", file.tracks.size()),
                  "It was read up to there.");
  }
  return file;
}

}  // namespace endpin::notation
