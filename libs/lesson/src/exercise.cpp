#include "endpin/lesson/exercise.h"

#include <algorithm>
#include <utility>

#include "endpin/score/unfold.h"

#include "all_open.h"

namespace endpin {
namespace {

// Of printed bar numbers only what an XML id may hold.
std::string id_part(std::string_view text) {
  std::string result;
  for (const char c : text) {
    const bool plain = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    result += plain ? c : '_';
  }
  return result;
}

bool on_open_strings(std::string_view recipe) {
  return recipe == "crossing" || recipe == "bow" || recipe == "rhythm" || recipe == "open-strings";
}

Result<Exercise> finish(const Material& material, Exercise exercise) {
  auto played = timeline(exercise.score, 0, material.instrument->name);
  if (!played) return Unexpected(std::move(played).error());
  exercise.timeline = std::move(*played);
  exercise.timeline.beat_unit = beat_of(contexts(exercise.score.parts[0]).front().time);
  exercise.step = material.step;
  MarkingOptions options;
  options.step = material.step;
  options.rules = material.rules;
  const bool open = on_open_strings(exercise.recipe);
  if (open) options.teacher = all_open(exercise.timeline);
  exercise.markings = mark(exercise.score, 0, exercise.timeline, *material.instrument, options);
  // Nobody decided these but the recipe.
  for (NoteMarking& note : exercise.markings.notes) {
    if (open) note.finger_origin = note.string_origin = Origin::proposed;
  }
  apply(exercise.markings, exercise.timeline);
  return exercise;
}

}  // namespace

Result<Exercise> exercise_of(const Material& material, const WarmUp& warm_up) {
  Exercise exercise;
  exercise.key = "warm-up-" + warm_up.recipe;
  exercise.kind = ExerciseKind::warm_up;
  exercise.recipe = warm_up.recipe;
  exercise.title = warm_up.title;
  exercise.says = warm_up.listen;
  Ground ground = ground_at(material.written(), 0);
  ground.time = warm_up.time;
  exercise.score =
      exercise_score(ground, lay_into_bars(warm_up.phrases, warm_up.time), exercise.key);
  return finish(material, std::move(exercise));
}

Result<Exercise> exercise_of(const Material& material, const Drill& drill) {
  Exercise exercise;
  exercise.key = "drill-" + id_part(drill.bars.front()) + "-" + drill.recipe;
  exercise.kind = ExerciseKind::drill;
  exercise.recipe = drill.recipe;
  exercise.title = drill.title;
  exercise.says = drill.why;
  exercise.bars = drill.bars;
  exercise.score = exercise_score(ground_at(material.written(), drill.bar), drill.music,
                                  exercise.key, drill.repeat);
  return finish(material, std::move(exercise));
}

MarkingsById shown_markings(const Markings& markings, bool every_finger) {
  MarkingsById shown;
  const NoteMarking* before = nullptr;
  for (const NoteMarking& note : markings.notes) {
    const bool new_place = before == nullptr || note.shift || before->string != note.string ||
                           before->position_key != note.position_key;
    if (note.finger && note.finger_origin != Origin::printed &&
        (every_finger || new_place || note.finger_origin == Origin::teacher ||
         note.extension != Extension::none)) {
      NoteMarkings marks;
      marks.fingers = {*note.finger};
      marks.thumb = *note.finger == 5;
      shown[note.id].push_back({marks, note.finger_origin});
    }
    if (note.bow && note.bow_shown && note.bow_origin != Origin::printed) {
      NoteMarkings marks;
      marks.bow = note.bow;
      shown[note.id].push_back({marks, note.bow_origin});
    }
    if (note.finger) before = &note;
  }
  return shown;
}

}  // namespace endpin
