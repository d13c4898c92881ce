#include "class_set_sounds.h"

#include <algorithm>
#include <functional>
#include <memory>
#include <utility>

#include "endpin/app/sounds.h"
#include "endpin/media/encode.h"
#include "endpin/perform/stems.h"

namespace endpin::app {
namespace {

constexpr double lufs = -16, peak_dbtp = -2.2;  // as a lesson's files are

Result<std::vector<Stems>> tunes(const ClassSetOrder& order, const ClassSet& set,
                                 const TonesOf& tones) {
  PerformOptions options;
  options.count_in_bars = 1;
  options.beats_per_minute = order.beats_per_minute;
  std::vector<Stems> made;
  for (const InstrumentKind kind : order.instruments) {
    const SetLine& line = *set.find(SetLineKind::tune, kind);
    const auto bank = tones(*line.instrument);
    if (!bank) return Unexpected(Error(bank.error()));
    auto played = stems(line.timeline, options, **bank);
    if (!played) return Unexpected(std::move(played).error());
    made.push_back(std::move(*played));
  }
  return made;
}

// `without` past the end: everybody.
Audio together(const std::vector<Stems>& tunes, std::size_t without) {
  std::vector<Layer> layers{tunes.front().count_in};
  for (std::size_t i = 0; i < tunes.size(); ++i) {
    if (i != without) layers.emplace_back(tunes[i].part);
  }
  return mix(layers, layers, lufs, peak_dbtp);
}

/// Opens each instrument once.
class OpenedTones {
 public:
  Result<ToneBank*> operator()(const Instrument& instrument) {
    auto sounds = open_sounds(std::string(instrument.name));
    if (!sounds) return Unexpected(std::move(sounds).error());
    sounds_.push_back(std::move(*sounds));
    tones_.push_back(std::make_unique<ToneBank>(*sounds_.back()));
    return tones_.back().get();
  }

 private:
  std::vector<std::unique_ptr<Sounds>> sounds_;
  std::vector<std::unique_ptr<ToneBank>> tones_;
};

}  // namespace

Result<Audio> class_set_sound(const ClassSetOrder& order, const ClassSet& set,
                              std::optional<InstrumentKind> without, const TonesOf& tones) {
  const auto played = tunes(order, set, tones);
  if (!played) return Unexpected(Error(played.error()));
  const auto& all = order.instruments;
  const auto silent = without ? std::find(all.begin(), all.end(), *without) : all.end();
  return together(*played, static_cast<std::size_t>(silent - all.begin()));
}

std::string play_along_of_all() { return "all.opus"; }
std::string play_along_without(const Instrument& instrument) {
  return "without-" + std::string(instrument.name) + ".opus";
}

Result<std::vector<SoundFile>> play_alongs(const ClassSetOrder& order, const ClassSet& set) {
  OpenedTones opened;
  const auto played = tunes(order, set, std::ref(opened));
  if (!played) return Unexpected(Error(played.error()));
  std::vector<SoundFile> files;
  const auto add = [&](std::string name, std::size_t without) -> Result<void> {
    auto bytes = encode(together(*played, without), AudioFormat::opus, order.input.score.title);
    if (!bytes) return Unexpected(std::move(bytes).error());
    files.emplace_back(std::move(name), std::move(*bytes));
    return {};
  };
  if (auto done = add(play_along_of_all(), played->size()); !done)
    return Unexpected(Error(done.error()));
  for (std::size_t i = 0; played->size() > 1 && i < played->size(); ++i) {
    auto done = add(play_along_without(instrument(order.instruments[i])), i);
    if (!done) return Unexpected(Error(done.error()));
  }
  return files;
}

}  // namespace endpin::app
