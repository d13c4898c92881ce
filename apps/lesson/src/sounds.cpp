#include "sounds.h"

#include <array>
#include <future>
#include <utility>

#include "endpin/app/sounds.h"
#include "endpin/media/encode.h"
#include "endpin/perform/stems.h"

namespace endpin::app {
namespace {

constexpr std::size_t kinds = 4;
constexpr std::array<const char*, kinds> endings{"-part.opus", "-click.opus", "-drone.opus",
                                                 "-without-part.opus"};

// A codec overshoots by some tenths of a decibel: the files are to stay below -1 dBTP.
constexpr double lufs = -16, peak_dbtp = -2.2;
// Where no part is above it the drone comes forward (ours), or the click would have to be cut down
// to reach the level.
constexpr float drone_alone = 1.8F;

// Each alone is as loud as the others: the one without the part is heard beside an instrument.
std::array<Audio, kinds> mixes(Stems s) {
  const auto mixed = [](std::initializer_list<Layer> layers) {
    const std::span<const Layer> all(layers.begin(), layers.size());
    return mix(all, all, lufs, peak_dbtp);
  };
  std::array<Audio, kinds> made{mixed({s.part, s.count_in}),
                                mixed({s.part, s.count_in, s.click}),
                                mixed({s.part, s.count_in, s.click, s.drone}),
                                {}};
  for (float& sample : s.drone) sample *= drone_alone;
  made.back() = mixed({s.count_in, s.click, s.drone});
  return made;
}

/// Renders one piece of music after the other; the sounds of the one before are encoded meanwhile.
class Player {
 public:
  explicit Player(ToneBank& tones) : tones_(tones) {}

  Result<void> play(const std::string& key, const Timeline& timeline, double beats_per_minute,
                    const std::string& title) {
    PerformOptions options;
    options.beats_per_minute = beats_per_minute;
    options.count_in_bars = 1;
    options.click = options.drone = true;
    auto made = stems(timeline, options, tones_);
    if (!made) return Unexpected(Error(made.error()));
    auto heard = mixes(std::move(*made));
    if (auto done = collect(); !done) return done;
    for (std::size_t i = 0; i < kinds; ++i) {
      waiting_.emplace_back(key + endings[i],
                            std::async(std::launch::async, [audio = std::move(heard[i]), title] {
                              return encode(audio, AudioFormat::opus, title);
                            }));
    }
    return {};
  }

  Result<std::vector<SoundFile>> take() {
    if (auto done = collect(); !done) return Unexpected(Error(done.error()));
    return std::move(files_);
  }

 private:
  Result<void> collect() {
    for (auto& [name, encoding] : waiting_) {
      auto bytes = encoding.get();
      if (!bytes) return Unexpected(std::move(bytes).error());
      files_.emplace_back(name, std::move(*bytes));
    }
    waiting_.clear();
    return {};
  }

  ToneBank& tones_;
  std::vector<SoundFile> files_;
  std::vector<std::pair<std::string, std::future<Result<std::string>>>> waiting_;
};

Result<void> play_exercises(Player& player, const LessonOrder& order, const LessonPlan& plan) {
  for (const LessonItem* item : plan.lesson.chosen()) {
    const Exercise* exercise = plan.lesson.find_exercise(item->key);
    if (exercise == nullptr) continue;
    Timeline timeline = exercise->timeline;
    timeline.beat_unit = plan.lesson.ladder.beat_unit;
    const std::string title = say(exercise->title, order.language);
    auto done = player.play(item->key, timeline, plan.lesson.drill_per_minute, title);
    if (!done) return done;
  }
  return {};
}

}  // namespace

SoundNames sound_names(const std::string& key) {
  return {key + endings[0], key + endings[1], key + endings[2], key + endings[3]};
}

Result<std::vector<SoundFile>> play_all(const LessonOrder& order, const LessonPlan& plan) {
  auto sounds = open_sounds(std::string(plan.instrument->name));
  if (!sounds) return Unexpected(std::move(sounds).error());
  ToneBank tones(**sounds);
  Player player(tones);
  auto piece =
      player.play("piece", plan.timeline, plan.lesson.goal_per_minute, order.input.score.title);
  if (!piece) return Unexpected(Error(piece.error()));
  if (auto done = play_exercises(player, order, plan); !done) {
    return Unexpected(Error(done.error()));
  }
  return player.take();
}

}  // namespace endpin::app
