#include <algorithm>
#include <utility>

#include <fmt/core.h>

#include "endpin/lesson/arrange.h"
#include "endpin/lesson/heard.h"
#include "endpin/lesson/places.h"
#include "endpin/lesson_folder/lesson_folder.h"
#include "endpin/score/unfold.h"

namespace endpin::app {
namespace {

Error in_file(Error error, const std::string& file) {
  if (error.file.empty()) error.file = file;
  return error;
}

// No hand and no string has these: the wrong octave or the wrong instrument.
std::optional<Error> out_of_range(const LessonOrder& order, const LessonPlan& plan) {
  for (const TimelineNote& note : plan.timeline.notes) {
    const bool low = note.midi < plan.instrument->lowest_midi();
    if (!low && note.midi <= plan.instrument->highest_midi) continue;
    return Error{ErrorKind::input, order.input.file, "bar " + note.bar,
                 fmt::format("{} is too {} for a {}", note.spelled.pretty(), low ? "low" : "high",
                             order.input.instrument),
                 "Transpose the piece (--transpose P8, -P8), or choose another --instrument."};
  }
  return std::nullopt;
}

// A piece of which no note can be played on the instrument is the wrong piece or instrument.
std::optional<Error> out_of_reach(const LessonOrder& order, const LessonPlan& plan) {
  for (const NoteMarking& note : plan.markings.notes) {
    if (note.playable) return std::nullopt;
  }
  return Error{ErrorKind::input, order.input.file, "",
               fmt::format("no note of this part can be played on a {}", order.input.instrument),
               "Choose another part or instrument (--part, --instrument)."};
}

std::optional<Error> unknown_step(const LessonOrder& order, const Instrument& instrument) {
  std::string known;
  for (const Reach& reach : instrument.reaches) {
    if (order.step.empty() || reach.step == order.step) return std::nullopt;
    known += (known.empty() ? "" : ", ") + std::string(reach.step);
  }
  return Error{ErrorKind::input, order.input.file, "", "there is no step \"" + order.step + "\"",
               "Give one of " + known + "."};
}

// Scales are major or minor; of another mode the signature's own is as near as any.
ScaleKey scale_key(const Study& study, const Timeline& timeline) {
  const Mode mode = study.key.key.mode;
  if (mode != Mode::major && mode != Mode::minor) return {timeline.fifths, timeline.minor};
  return {study.key.key.fifths(), mode == Mode::minor};
}

}  // namespace

void answer(LessonOrder& order, const Hearing& heard) {
  order.findings = heard.findings;
  std::stable_sort(order.findings.begin(), order.findings.end(),
                   [](const Finding& a, const Finding& b) { return a.confidence > b.confidence; });
  if (!order.clean_per_minute) order.clean_per_minute = heard.tempo.clean_bpm;
}

Result<ScoreInput> for_instrument(ScoreInput input, const Instrument& instrument,
                                  std::string_view step, int fifths) {
  Part& part = input.score.parts.at(static_cast<std::size_t>(input.part));
  const std::string own = guess_instrument(part);
  input.instrument = std::string(instrument.name);
  if ((own.empty() || own == instrument.name) && fifths == 0) return input;
  part = part_for(part, own.empty() ? instrument.name : own, instrument, step, fifths);
  auto played = timeline(input.score, input.part, instrument.name);
  if (!played) return Unexpected(in_file(std::move(played).error(), input.file));
  input.timeline = std::move(*played);
  return input;
}

Result<LessonPlan> plan_lesson(const LessonOrder& order) {
  LessonPlan plan;
  plan.instrument = find_instrument(order.input.instrument);
  if (plan.instrument == nullptr) {
    return Unexpected(Error{ErrorKind::input, order.input.file, "",
                            "the instrument \"" + order.input.instrument + "\" is not one of ours",
                            "Give violin, viola, cello or bass."});
  }
  if (auto error = unknown_step(order, *plan.instrument)) return Unexpected(std::move(*error));
  plan.timeline = order.input.timeline;
  plan.timeline.instrument = order.input.instrument;
  plan.step = order.step.empty() ? guess_step(plan.timeline, *plan.instrument) : order.step;
  MarkingOptions options;
  options.step = plan.step;
  options.teacher = order.teacher;
  options.rules = order.rules;
  plan.markings =
      mark(order.input.score, order.input.part, plan.timeline, *plan.instrument, options);
  if (auto error = out_of_range(order, plan)) return Unexpected(std::move(*error));
  if (auto error = out_of_reach(order, plan)) return Unexpected(std::move(*error));
  apply(plan.markings, plan.timeline);
  StudyOptions study_options;
  study_options.step = plan.step;
  study_options.retakes = retaken_notes(plan.markings);
  plan.study =
      study(order.input.score, order.input.part, plan.timeline, *plan.instrument, study_options);
  plan.key = scale_key(plan.study, plan.timeline);

  LessonRequest request;
  request.material = {&order.input.score, order.input.part, &plan.timeline, plan.instrument,
                      plan.step,          plan.key,         order.rules};
  const Part& part = request.material.written();
  request.places = joined(places_heard(order.findings, part), places_of(plan.study, part));
  request.remarks = order.remarks;
  request.markings = &plan.markings;
  request.goal_per_minute = order.goal_per_minute;
  if (!request.goal_per_minute && plan.study.tempo.beat_unit == plan.timeline.beat_unit) {
    request.goal_per_minute = plan.study.tempo.target;
  }
  request.clean_per_minute = order.clean_per_minute;
  request.items = order.items;
  auto lesson = make_lesson(request);
  if (!lesson) return Unexpected(in_file(std::move(lesson).error(), order.input.file));
  plan.lesson = std::move(*lesson);
  return plan;
}

}  // namespace endpin::app
