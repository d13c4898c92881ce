#include "sound_shelf.h"

#include <fmt/core.h>

#include "endpin/app/sounds.h"
#include "endpin/media/encode.h"

#include "fields.h"

namespace endpin::desk {
namespace {

// A minute of sound is 6 MB of WAV.
constexpr std::size_t most_kept = 8;

std::string key_of(const std::string& content, const PerformOptions& o) {
  return fmt::format("{} {} {}-{} {}{}{} {}", content, o.beats_per_minute.value_or(0), o.first_bar,
                     o.last_bar, o.part, o.click, o.drone, o.count_in_bars);
}

std::string times_of(const Performance& p) {
  Json notes = Json::array();
  for (const NoteTime& n : p.notes) {
    notes.push_back(
        {{"index", n.index}, {"onset_s", n.start.value()}, {"offset_s", n.end.value()}});
  }
  Json clicks = Json::array();
  for (const ClickTime& c : p.clicks) {
    clicks.push_back({{"at_s", c.at.value()}, {"strong", c.accented}});
  }
  Json bars = Json::array();
  for (const BarTime& b : p.bars) {
    bars.push_back({{"bar", b.bar}, {"pass", b.pass}, {"start_s", b.start.value()}});
  }
  return dump({{"seconds", p.audio.duration().value()},
               {"notes", notes},
               {"clicks", clicks},
               {"bars", bars}});
}

}  // namespace

struct SoundShelf::Player {
  std::string instrument;
  std::unique_ptr<Sounds> sounds;
  ToneBank tones;
};

SoundShelf::SoundShelf() = default;
SoundShelf::~SoundShelf() = default;

Result<SoundShelf::Player*> SoundShelf::player(const std::string& instrument) {
  for (const auto& known : players_) {
    if (known->instrument == instrument) return known.get();
  }
  auto sounds = app::open_sounds(instrument);
  if (!sounds) return Unexpected(sounds.error());
  Sounds& source = **sounds;
  players_.push_back(
      std::make_unique<Player>(Player{instrument, std::move(*sounds), ToneBank(source)}));
  return players_.back().get();
}

Result<std::shared_ptr<const PlayedSound>> SoundShelf::get(const std::string& content,
                                                           const Timeline& timeline,
                                                           const PerformOptions& options) {
  const std::string key = key_of(content, options);
  const std::lock_guard lock(mutex_);
  for (auto at = kept_.begin(); at != kept_.end(); ++at) {
    if (at->key != key) continue;
    kept_.splice(kept_.begin(), kept_, at);
    return kept_.front().sound;
  }
  const auto strings = player(timeline.instrument);
  if (!strings) return Unexpected(strings.error());
  const auto performed = perform(timeline, options, (*strings)->tones);
  if (!performed) return Unexpected(performed.error());
  auto wav = encode(performed->audio, AudioFormat::wav);
  if (!wav) return Unexpected(wav.error());
  auto sound =
      std::make_shared<const PlayedSound>(PlayedSound{std::move(*wav), times_of(*performed)});
  kept_.push_front({key, sound});
  if (kept_.size() > most_kept) kept_.pop_back();
  return sound;
}

}  // namespace endpin::desk
