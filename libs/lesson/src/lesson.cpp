#include "endpin/lesson/lesson.h"

#include <algorithm>
#include <set>
#include <utility>

#include <fmt/core.h>

namespace endpin {
namespace {

// What a week takes unless the teacher chooses otherwise (ours): a page holds no more.
constexpr std::size_t most_warm_ups = 2;
constexpr std::size_t most_drills = 3;
constexpr std::size_t most_places = 8;

StringOf strings_of(const Markings* markings) {
  return [markings](std::string_view id) {
    const NoteMarking* note = markings != nullptr ? markings->find(id) : nullptr;
    return note != nullptr && note->string ? *note->string : 0;
  };
}

void add(Lesson& lesson, Exercise exercise, bool ticked) {
  if (lesson.find_exercise(exercise.key) != nullptr) return;
  const ItemKind kind =
      exercise.kind == ExerciseKind::warm_up ? ItemKind::warm_up : ItemKind::drill;
  lesson.items.push_back(
      {exercise.key, kind, exercise.title, exercise.says, exercise.bars, ticked});
  lesson.exercises.push_back(std::move(exercise));
}

// The scale and what prepares the sharps and flats; without them the rhythm on the scale, and on
// open strings alone the crossing.
std::vector<std::string> wanted_warm_ups(const std::vector<WarmUp>& all) {
  std::vector<std::string> wanted;
  for (const char* recipe : {"scale", "finger-pattern", "rhythm-scale", "crossing", "bow"}) {
    const bool there =
        std::any_of(all.begin(), all.end(), [&](const WarmUp& w) { return w.recipe == recipe; });
    if (there && wanted.size() < most_warm_ups) wanted.emplace_back(recipe);
  }
  return wanted;
}

Result<void> add_warm_ups(Lesson& lesson, const Material& material) {
  const std::vector<WarmUp> all = warm_ups(material);
  const std::vector<std::string> wanted = wanted_warm_ups(all);
  for (const WarmUp& warm_up : all) {
    auto exercise = exercise_of(material, warm_up);
    if (!exercise) return Unexpected(std::move(exercise).error());
    const bool tick = std::find(wanted.begin(), wanted.end(), warm_up.recipe) != wanted.end();
    add(lesson, std::move(*exercise), tick);
  }
  return {};
}

std::vector<Beats> rhythm_at(const Part& part, const DrillPlace& place) {
  std::vector<Beats> rhythm;
  for (const LineNote& note : line_of(part.bars.at(static_cast<std::size_t>(place.bar)))) {
    rhythm.push_back(note.duration);
  }
  return rhythm;
}

Result<void> add_drills(Lesson& lesson, const LessonRequest& request) {
  std::size_t ticked = 0;
  std::size_t places = 0;
  std::set<int> bars;
  std::multiset<std::string> recipes;
  std::vector<std::vector<Beats>> rhythms;
  const StringOf string_of = strings_of(request.markings);
  for (const DrillPlace& place : request.places) {
    if (++places > most_places) break;
    bool first = true;
    for (const Drill& drill : drills(request.material, place, string_of)) {
      auto exercise = exercise_of(request.material, drill);
      if (!exercise) continue;  // a bar of rests alone
      // One drill a place, no bar and hardly a recipe twice: a week needs variety.
      const std::vector<Beats> rhythm = rhythm_at(request.material.written(), place);
      const bool known_rhythm = place.trouble == Trouble::rhythm &&
                                std::find(rhythms.begin(), rhythms.end(), rhythm) != rhythms.end();
      const bool tick = first && ticked < most_drills && !bars.contains(place.bar) &&
                        !bars.contains(place.twin.value_or(-1)) && !known_rhythm &&
                        recipes.count(drill.recipe) < 2;
      if (tick) {
        ++ticked;
        bars.insert(place.bar);
        if (place.twin) bars.insert(*place.twin);
        rhythms.push_back(rhythm);
        recipes.insert(drill.recipe);
      }
      first = false;
      add(lesson, std::move(*exercise), tick);
    }
  }
  return {};
}

Result<double> goal_of(const LessonRequest& request) {
  const Timeline& timeline = *request.material.timeline;
  const double own = timeline.tempo.tempo_at(Beats(0)).value() / timeline.beat_unit.to_double();
  const double goal = request.goal_per_minute.value_or(own);
  if (!(goal >= slowest_goal && goal <= fastest_goal)) {
    return Unexpected(
        Error{ErrorKind::input, "", "",
              fmt::format("a tempo of {:g} beats a minute is out of range", goal),
              fmt::format("Give one from {:g} to {:g}.", slowest_goal, fastest_goal)});
  }
  return goal;
}

Result<void> choose(Lesson& lesson, const std::vector<std::string>& wanted) {
  if (wanted.empty()) {
    for (const LessonItem& item : lesson.items) {
      if (item.ticked) lesson.order.push_back(item.key);
    }
    return {};
  }
  for (LessonItem& item : lesson.items) item.ticked = false;
  for (const std::string& key : wanted) {
    const auto item = std::find_if(lesson.items.begin(), lesson.items.end(),
                                   [&](const LessonItem& i) { return i.key == key; });
    if (item == lesson.items.end()) {
      return Unexpected(Error{ErrorKind::input, "", "", "there is no item \"" + key + "\"",
                              "Ask for the proposals and take a key from them."});
    }
    if (!item->ticked) lesson.order.push_back(key);
    item->ticked = true;
  }
  return {};
}

}  // namespace

std::string_view name(ItemKind kind) {
  constexpr std::string_view names[] = {"warm-up", "drill", "piece", "ladder"};
  return names[static_cast<std::size_t>(kind)];
}

const Exercise* Lesson::find_exercise(std::string_view key) const {
  const auto found = std::find_if(exercises.begin(), exercises.end(),
                                  [&](const Exercise& e) { return e.key == key; });
  return found == exercises.end() ? nullptr : &*found;
}

std::vector<const LessonItem*> Lesson::chosen() const {
  std::vector<const LessonItem*> result;
  for (const std::string& key : order) {
    for (const LessonItem& item : items) {
      if (item.key == key) result.push_back(&item);
    }
  }
  return result;
}

Result<Lesson> make_lesson(const LessonRequest& request) {
  Lesson lesson;
  auto goal = goal_of(request);
  if (!goal) return Unexpected(std::move(goal).error());
  const Timeline& timeline = *request.material.timeline;
  lesson.goal_per_minute = *goal;
  lesson.ladder = plan_ladder(
      {timeline.beat_unit, *goal, request.clean_per_minute, timeline.end(), request.minutes});
  lesson.drill_per_minute = lesson.ladder.rungs.front().per_minute;
  if (auto added = add_warm_ups(lesson, request.material); !added)
    return Unexpected(Error(added.error()));
  if (auto added = add_drills(lesson, request); !added) return Unexpected(Error(added.error()));
  lesson.items.push_back(
      {"piece", ItemKind::piece, {"sheet.piece", {}}, {"sheet.piece.why", {}}, {}, true});
  lesson.items.push_back({"ladder", ItemKind::ladder, {"sheet.ladder", {}}, {}, {}, true});
  lesson.goals = goals(request.material.written(), request.places, request.remarks);
  if (auto chosen = choose(lesson, request.items); !chosen)
    return Unexpected(Error(chosen.error()));
  return lesson;
}

}  // namespace endpin
