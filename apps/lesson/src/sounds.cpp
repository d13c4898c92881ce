#include "sounds.h"

#include <utility>

#include "endpin/app/sounds.h"
#include "endpin/media/encode.h"
#include "endpin/perform/perform.h"

namespace endpin::app {
namespace {

class Player {
 public:
  Player(ToneBank& tones, std::vector<SoundFile>& files) : tones_(tones), files_(files) {}

  Result<void> play(const std::string& name, const Timeline& timeline,
                    const PerformOptions& options, const std::string& title) {
    const auto performed = perform(timeline, options, tones_);
    if (!performed) return Unexpected(Error(performed.error()));
    auto bytes = encode(performed->audio, AudioFormat::opus, title);
    if (!bytes) return Unexpected(std::move(bytes).error());
    files_.emplace_back(name + ".opus", std::move(*bytes));
    return {};
  }

 private:
  ToneBank& tones_;
  std::vector<SoundFile>& files_;
};

Result<void> play_piece(Player& player, const LessonPlan& plan, const std::string& title) {
  PerformOptions options;
  options.beats_per_minute = plan.lesson.goal_per_minute;
  options.count_in_bars = 1;
  if (auto done = player.play("piece-part", plan.timeline, options, title); !done) return done;
  options.click = true;
  if (auto done = player.play("piece-click", plan.timeline, options, title); !done) return done;
  options.part = false;
  options.drone = true;
  return player.play("piece-without-part", plan.timeline, options, title);
}

Result<void> play_exercises(Player& player, const LessonOrder& order, const LessonPlan& plan) {
  PerformOptions options;
  options.count_in_bars = 1;
  options.click = true;
  for (const LessonItem* item : plan.lesson.chosen()) {
    const Exercise* exercise = plan.lesson.find_exercise(item->key);
    if (exercise == nullptr) continue;
    Timeline timeline = exercise->timeline;
    timeline.beat_unit = plan.lesson.ladder.beat_unit;
    options.beats_per_minute = plan.lesson.drill_per_minute;
    const std::string title = say(exercise->title, order.language);
    if (auto done = player.play(item->key, timeline, options, title); !done) return done;
  }
  return {};
}

}  // namespace

Result<std::vector<SoundFile>> play_all(const LessonOrder& order, const LessonPlan& plan) {
  auto sounds = open_sounds(std::string(plan.instrument->name));
  if (!sounds) return Unexpected(std::move(sounds).error());
  ToneBank tones(**sounds);
  std::vector<SoundFile> files;
  Player player(tones, files);
  if (auto done = play_piece(player, plan, order.input.score.title); !done) {
    return Unexpected(Error(done.error()));
  }
  if (auto done = play_exercises(player, order, plan); !done) {
    return Unexpected(Error(done.error()));
  }
  return files;
}

}  // namespace endpin::app
