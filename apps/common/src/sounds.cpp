#include "endpin/app/sounds.h"

#include <cstdlib>
#include <filesystem>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

#include "endpin/app/decode_in_child.h"
#include "endpin/app/files.h"
#include "endpin/base/pitch.h"
#include "endpin/perform/fluid_sounds.h"
#include "endpin/perform/recorded_sounds.h"

namespace endpin::app {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t most_sounds = 200;
constexpr Seconds longest_sound{30};

Unexpected refuse(const fs::path& file, std::string what, std::string remedy) {
  return Unexpected({ErrorKind::input, file.string(), {}, std::move(what), std::move(remedy)});
}

struct Entry {
  std::string file;
  RecordedSound sound;
};

/// One member of "sounds": {"file":"C2.flac","pitch":"C2","technique":"bowed"}.
Result<Entry> entry_of(const nlohmann::json& json, const fs::path& list) {
  const auto text = [&](const char* key) {
    const auto found = json.find(key);
    return found != json.end() && found->is_string() ? found->get<std::string>() : std::string();
  };
  Entry entry;
  entry.file = text("file");
  const auto pitch = SpelledPitch::parse(text("pitch"));
  if (entry.file.empty() || !pitch) {
    return refuse(list, "'" + entry.file + "', '" + text("pitch") + "' is no file and its pitch",
                  R"(Write {"file": "C2.flac", "pitch": "C2"}.)");
  }
  const fs::path path(entry.file);
  if (path.is_absolute() || entry.file.find("..") != std::string::npos) {
    return refuse(list, "'" + entry.file + "' lies outside of the folder",
                  "Put the sound beside sounds.json.");
  }
  entry.sound.name = (list.parent_path() / path).string();
  entry.sound.midi = pitch->midi();
  entry.sound.technique = text("technique") == "plucked" ? Technique::plucked : Technique::bowed;
  return entry;
}

Result<std::vector<Entry>> entries_of(const fs::path& list) {
  const auto bytes = read_file(list, 1 << 20);
  if (!bytes) return Unexpected(bytes.error());
  const auto json = nlohmann::json::parse(*bytes, nullptr, false);
  const auto sounds = json.is_object() ? json.find("sounds") : json.end();
  if (!json.is_object() || sounds == json.end() || !sounds->is_array() ||
      sounds->size() > most_sounds) {
    return refuse(list, "this is no list of sounds", "Write it as docs/sounds.md shows.");
  }
  std::vector<Entry> entries;
  for (const auto& one : *sounds) {
    auto entry = entry_of(one, list);
    if (!entry) return Unexpected(std::move(entry).error());
    entries.push_back(*std::move(entry));
  }
  return entries;
}

Result<std::unique_ptr<Sounds>> open_folder(const fs::path& folder) {
  auto entries = entries_of(folder / "sounds.json");
  if (!entries) return Unexpected(std::move(entries).error());
  std::vector<RecordedSound> recordings;
  for (Entry& entry : *entries) {
    DecodeLimits limits;
    limits.rate = performance_rate;
    limits.duration = longest_sound;
    auto audio = decode_in_child(entry.sound.name, limits);
    if (!audio) return Unexpected(std::move(audio).error());
    entry.sound.samples = std::move(audio->samples);
    recordings.push_back(std::move(entry.sound));
  }
  auto sounds = RecordedSounds::make(std::move(recordings));
  if (!sounds) return Unexpected(std::move(sounds).error());
  return std::unique_ptr<Sounds>(new RecordedSounds(*std::move(sounds)));
}

Result<std::unique_ptr<Sounds>> open_font(const std::string& instrument, const std::string& font) {
  auto sounds = FluidSounds::open(instrument, font);
  if (!sounds) return Unexpected(std::move(sounds).error());
  return std::unique_ptr<Sounds>(*std::move(sounds));
}

}  // namespace

Result<std::unique_ptr<Sounds>> open_sounds(const std::string& instrument,
                                            const std::string& place) {
  std::string from = place;
  if (const char* given = std::getenv("ENDPIN_SOUNDS"); from.empty() && given != nullptr) {
    from = given;
  }
  if (from.empty()) return open_font(instrument, default_sound_font);
  std::error_code ignored;
  if (!fs::is_directory(from, ignored)) return open_font(instrument, from);
  const fs::path own = fs::path(from) / instrument;
  return open_folder(fs::is_directory(own, ignored) ? own : fs::path(from));
}

}  // namespace endpin::app
