#include "class_set_sounds.h"

#include <utility>

#include "endpin/app/sounds.h"
#include "endpin/media/encode.h"
#include "endpin/perform/stems.h"

namespace endpin::app {
namespace {

constexpr double lufs = -16, peak_dbtp = -2.2;  // as a lesson's files are

Result<Stems> tune_of(const ClassSetOrder& order, const SetLine& line) {
  auto sounds = open_sounds(std::string(line.instrument->name));
  if (!sounds) return Unexpected(std::move(sounds).error());
  ToneBank tones(**sounds);
  PerformOptions options;
  options.count_in_bars = 1;
  options.beats_per_minute = order.beats_per_minute;
  return stems(line.timeline, options, tones);
}

}  // namespace

std::string play_along_of_all() { return "all.opus"; }
std::string play_along_without(const Instrument& instrument) {
  return "without-" + std::string(instrument.name) + ".opus";
}

Result<std::vector<SoundFile>> play_alongs(const ClassSetOrder& order, const ClassSet& set) {
  std::vector<Stems> tunes;
  for (const InstrumentKind kind : order.instruments) {
    auto made = tune_of(order, *set.find(SetLineKind::tune, kind));
    if (!made) return Unexpected(std::move(made).error());
    tunes.push_back(std::move(*made));
  }
  std::vector<SoundFile> files;
  const auto add = [&](std::string name, std::size_t without) -> Result<void> {
    std::vector<Layer> layers{tunes.front().count_in};
    for (std::size_t i = 0; i < tunes.size(); ++i) {
      if (i != without) layers.emplace_back(tunes[i].part);
    }
    auto bytes =
        encode(mix(layers, layers, lufs, peak_dbtp), AudioFormat::opus, order.input.score.title);
    if (!bytes) return Unexpected(std::move(bytes).error());
    files.emplace_back(std::move(name), std::move(*bytes));
    return {};
  };
  if (auto done = add(play_along_of_all(), tunes.size()); !done)
    return Unexpected(Error(done.error()));
  for (std::size_t i = 0; tunes.size() > 1 && i < tunes.size(); ++i) {
    auto done = add(play_along_without(instrument(order.instruments[i])), i);
    if (!done) return Unexpected(Error(done.error()));
  }
  return files;
}

}  // namespace endpin::app
