#include "sound_maker.h"

#include <algorithm>
#include <vector>

#include <fmt/format.h>

#include "endpin/app/files.h"
#include "endpin/book/upload.h"
#include "endpin/media/encode.h"

namespace endpin::desk {
namespace {

namespace fs = std::filesystem;

// To be raised when the same words are to sound anew.
constexpr const char* sound_version = "1";
// Some 10 MB a minute: at most a gigabyte or two.
constexpr std::size_t most_kept = 150;

std::string key_of(const std::string& words) {
  return book::sha256(fmt::format("{} {}", sound_version, words)).substr(0, 32);
}

std::string key_of(const Timeline& timeline, const PerformOptions& o) {
  return key_of(fmt::format("{} {} {}-{} {} {} {} {}", to_json(timeline),
                            o.beats_per_minute.value_or(0), o.first_bar, o.last_bar, o.part,
                            o.click, o.drone, o.count_in_bars));
}

}  // namespace

Result<ToneBank*> SoundMaker::tones(const std::string& instrument) {
  Instrument& kept = instruments_[instrument];
  if (!kept.tones) {
    auto sounds = FluidSounds::open(instrument);
    if (!sounds) return Unexpected(sounds.error());
    kept.sounds = std::move(*sounds);
    kept.tones = std::make_unique<ToneBank>(*kept.sounds);
  }
  return kept.tones.get();
}

Result<void> SoundMaker::perform_into(const Timeline& timeline, const PerformOptions& options,
                                      const Made& made) {
  auto bank = tones(timeline.instrument);
  if (!bank) return Unexpected(bank.error());
  const auto performance = perform(timeline, options, **bank);
  if (!performance) return Unexpected(performance.error());
  const auto wav = encode(performance->audio, AudioFormat::wav);
  if (!wav) return Unexpected(wav.error());
  auto kept = app::write_file_atomically(made.times, times_to_json(*performance));
  return kept ? app::write_file_atomically(made.wav, *wav) : kept;
}

Result<SoundMaker::Made> SoundMaker::make(const Timeline& timeline, const PerformOptions& options) {
  const std::string key = key_of(timeline, options);
  const Made made{cache_ / (key + ".wav"), cache_ / (key + ".json")};
  const std::lock_guard lock(mutex_);
  std::error_code failed;
  fs::create_directories(cache_, failed);
  if (fs::exists(made.wav, failed)) return made;
  if (auto done = perform_into(timeline, options, made); !done) return Unexpected(done.error());
  trim();
  return made;
}

Result<fs::path> SoundMaker::make(const std::string& words,
                                  const std::function<Result<Audio>(const Tones&)>& render) {
  const fs::path file = cache_ / (key_of(words) + ".wav");
  const std::lock_guard lock(mutex_);
  std::error_code failed;
  fs::create_directories(cache_, failed);
  if (fs::exists(file, failed)) return file;
  const auto audio = render([this](const std::string& instrument) { return tones(instrument); });
  if (!audio) return Unexpected(audio.error());
  const auto wav = encode(*audio, AudioFormat::wav);
  if (!wav) return Unexpected(wav.error());
  if (auto kept = app::write_file_atomically(file, *wav); !kept) return Unexpected(kept.error());
  trim();
  return file;
}

void SoundMaker::trim() {
  std::error_code failed;
  std::vector<std::pair<fs::file_time_type, fs::path>> files;
  for (const auto& entry : fs::directory_iterator(cache_, failed)) {
    files.emplace_back(entry.last_write_time(failed), entry.path());
  }
  std::sort(files.rbegin(), files.rend());
  for (std::size_t i = 2 * most_kept; i < files.size(); ++i) fs::remove(files[i].second, failed);
}

}  // namespace endpin::desk
