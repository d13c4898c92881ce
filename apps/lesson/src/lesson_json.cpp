#include "lesson_json.h"

#include <nlohmann/json.hpp>

#include "endpin/words/sentence.h"

#include "sounds.h"

namespace endpin::app {
namespace {

using nlohmann::ordered_json;

ordered_json message(const Sentence& sentence) {
  return {{"key", sentence.key}, {"args", sentence.args}};
}

ordered_json timeline_json(const Timeline& timeline) {
  return ordered_json::parse(to_json(timeline));
}

ordered_json ladder_json(const Ladder& ladder) {
  ordered_json rungs = ordered_json::array();
  for (const Rung& rung : ladder.rungs) {
    rungs.push_back({{"per_minute", rung.per_minute},
                     {"clean_runs", rung.clean_runs},
                     {"minutes", rung.minutes}});
  }
  return {{"beat_unit", ladder.beat_unit.text()},
          {"from_heard", ladder.from_heard},
          {"minutes", ladder.minutes()},
          {"rungs", rungs}};
}

ordered_json goals_json(const LessonOrder& order, const Lesson& lesson) {
  ordered_json goals = ordered_json::array();
  for (const Goal& goal : lesson.goals) {
    const Sentence& said = order.for_adult ? goal.for_adult : goal.for_child;
    goals.push_back({{"source", name(goal.source)},
                     {"trouble", name(goal.trouble)},
                     {"bars", goal.bars},
                     {"message", message(said)},
                     {"says", goal.said(order.for_adult, order.language)}});
  }
  return goals;
}

ordered_json sounds_json(const std::string& key) {
  const SoundNames names = sound_names(key);
  return {{"part", names.part},
          {"click", names.click},
          {"drone", names.drone},
          {"without_part", names.without_part}};
}

ordered_json items_json(const LessonOrder& order, const Lesson& lesson) {
  ordered_json items = ordered_json::array();
  for (const LessonItem& item : lesson.items) {
    items.push_back({{"key", item.key},
                     {"kind", name(item.kind)},
                     {"title", say(item.title, order.language)},
                     {"why", item.why.empty() ? "" : say(item.why, order.language)},
                     {"bars", item.bars},
                     {"ticked", item.ticked}});
  }
  return items;
}

ordered_json exercises_json(const LessonOrder& order, const Lesson& lesson) {
  ordered_json exercises = ordered_json::array();
  for (const LessonItem* item : lesson.chosen()) {
    const Exercise* exercise = lesson.find_exercise(item->key);
    if (exercise == nullptr) continue;
    exercises.push_back({{"key", exercise->key},
                         {"kind", name(item->kind)},
                         {"recipe", exercise->recipe},
                         {"title", say(exercise->title, order.language)},
                         {"says", say(exercise->says, order.language)},
                         {"bars", exercise->bars},
                         {"step", exercise->step},
                         {"per_minute", lesson.drill_per_minute},
                         {"beat_unit", lesson.ladder.beat_unit.text()},
                         {"picture", exercise->key + ".svg"},
                         {"sound", sound_names(exercise->key).click},
                         {"sounds", sounds_json(exercise->key)},
                         {"timeline", timeline_json(exercise->timeline)}});
  }
  return exercises;
}

ordered_json piece_json(const LessonPlan& plan, std::size_t pages) {
  ordered_json pictures = ordered_json::array();
  for (std::size_t i = 0; i < pages; ++i) pictures.push_back(piece_picture(i));
  return {{"pictures", pictures},
          {"score", "piece.musicxml"},
          {"sounds", sounds_json("piece")},
          {"timeline", timeline_json(plan.timeline)}};
}

}  // namespace

std::string piece_picture(std::size_t page) {
  return page == 0 ? "piece.svg" : "piece-" + std::to_string(page + 1) + ".svg";
}

std::string lesson_json(const LessonOrder& order, const LessonPlan& plan, std::size_t piece_pages) {
  const Lesson& lesson = plan.lesson;
  const ordered_json json = {{"schema", "endpin.lesson/1"},
                             {"title", order.input.score.title},
                             {"composer", order.input.score.composer},
                             {"rights", order.input.score.rights},
                             {"instrument", plan.instrument->name},
                             {"step", plan.step},
                             {"language", tag(order.language)},
                             {"date", order.date},
                             {"student", order.student},
                             {"note", order.note},
                             {"sheet", {{"html", "sheet.html"}, {"pdf", "sheet.pdf"}}},
                             {"tempo",
                              {{"goal_per_minute", lesson.goal_per_minute},
                               {"beat_unit", plan.timeline.beat_unit.text()}}},
                             {"piece", piece_json(plan, piece_pages)},
                             {"items", items_json(order, lesson)},
                             {"order", lesson.order},
                             {"exercises", exercises_json(order, lesson)},
                             {"ladder", ladder_json(lesson.ladder)},
                             {"goals", goals_json(order, lesson)},
                             {"cautions", say("sheet.cautions", order.language)}};
  return json.dump(1) + "\n";
}

std::vector<std::string> files_named_in(std::string_view lesson_json) {
  std::vector<std::string> names;
  const auto add = [&](const ordered_json& value) {
    if (!value.is_string()) return;
    auto name = value.get<std::string>();
    const bool plain = name.find('/') == std::string::npos && !name.starts_with('.');
    if (plain && !name.empty()) names.push_back(std::move(name));
  };
  const ordered_json lesson = ordered_json::parse(lesson_json, nullptr, false);
  if (!lesson.is_object() || lesson.value("schema", "") != "endpin.lesson/1") return names;
  const ordered_json piece = lesson.value("piece", ordered_json::object());
  for (const char* list : {"pictures", "sounds"}) {
    if (piece.contains(list)) {
      for (const auto& value : piece[list]) add(value);
    }
  }
  for (const auto& exercise : lesson.value("exercises", ordered_json::array())) {
    for (const char* kind : {"picture", "sound"}) {
      if (exercise.contains(kind)) add(exercise[kind]);
    }
    for (const auto& value : exercise.value("sounds", ordered_json::object())) add(value);
  }
  return names;
}

}  // namespace endpin::app
