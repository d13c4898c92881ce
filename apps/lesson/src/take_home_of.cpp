#include "take_home_of.h"

#include <utility>

#include "endpin/app/sounds.h"
#include "endpin/book/upload.h"
#include "endpin/engraving/engraving.h"
#include "endpin/engraving/line_breaks.h"
#include "endpin/notation/write.h"
#include "endpin/pages/fill_page.h"
#include "endpin/pages/take_home.h"

namespace endpin::app {
namespace {

// Staff spaces of a line: what a phone held upright shows at arm's length, and a tablet (ours).
constexpr double narrow_line = 56, wide_line = 100;
constexpr double staff_height_mm = 7;

// Every pitch of the lesson once in one timeline, since a bank is made of a timeline.
Timeline all_notes(const LessonPlan& plan) {
  Timeline all = plan.timeline;
  for (const LessonItem* item : plan.lesson.chosen()) {
    const Exercise* exercise = plan.lesson.find_exercise(item->key);
    if (exercise == nullptr) continue;
    for (TimelineNote note : exercise->timeline.notes) {
      note.index = static_cast<int>(all.notes.size());
      note.onset = note.onset + all.end();
      all.notes.push_back(std::move(note));
    }
  }
  return all;
}

EngraveRequest request_of(Score score, const MarkingsById& shown, double line, int seed) {
  score.parts[0].name.clear();
  score.parts[0].abbreviation.clear();
  set_line_breaks(score.parts[0], line);
  EngraveRequest request;
  request.musicxml = write_musicxml(score, shown);
  request.options.width = line * staff_height_mm / 4;
  request.options.staff_height = staff_height_mm;
  request.options.own_breaks = true;
  request.options.system_gap = 2;
  request.options.seed = seed;
  for (const auto& [id, marks] : shown) {
    for (const PlacedMarkings& placed : marks) {
      if (placed.origin != Origin::proposed) continue;
      if (!placed.marks.fingers.empty()) request.options.proposed_fingers.push_back(id);
      if (placed.marks.bow) request.options.proposed_bows.push_back(id);
    }
  }
  return request;
}

Result<std::vector<TakeHomePicture>> pictures_of(const LessonOrder& order, const LessonPlan& plan) {
  Score piece = order.input.score;
  piece.parts = {order.input.score.parts.at(static_cast<std::size_t>(order.input.part))};
  const MarkingsById shown = shown_markings(plan.markings);
  // Seeds of their own: all pictures stand in one page.
  std::vector<EngraveRequest> requests{request_of(piece, shown, narrow_line, 101),
                                       request_of(piece, shown, wide_line, 102)};
  std::vector<TakeHomePicture> pictures{{"piece", {}, {}}};
  for (const LessonItem* item : plan.lesson.chosen()) {
    const Exercise* exercise = plan.lesson.find_exercise(item->key);
    if (exercise == nullptr) continue;
    const bool every_finger = exercise->kind == ExerciseKind::warm_up;
    requests.push_back(request_of(exercise->score, shown_markings(exercise->markings, every_finger),
                                  narrow_line, 101 + static_cast<int>(requests.size())));
    pictures.push_back({exercise->key, {}, {}});
  }
  auto drawn = engrave_all(requests);
  if (!drawn) return Unexpected(std::move(drawn).error());
  pictures[0].narrow = std::move((*drawn)[0].pages);
  pictures[0].wide = std::move((*drawn)[1].pages);
  for (std::size_t i = 1; i < pictures.size(); ++i) {
    pictures[i].narrow = std::move((*drawn)[i + 1].pages);
  }
  return pictures;
}

std::string paragraph(const std::string& text) {
  return text.empty() ? std::string() : "<p>" + escape_html(text) + "</p>";
}

std::string tempo_text(const Ladder& ladder) {
  std::string text;
  for (const Rung& rung : ladder.rungs) {
    if (!text.empty()) text += " → ";
    text += std::to_string(static_cast<int>(rung.per_minute + 0.5));
  }
  return text;
}

// Tasks, goals and ladder in plain HTML, for a phone that shows the file without running its code.
std::string without_script(const LessonOrder& order, const LessonPlan& plan) {
  const auto heading = [&](const char* key) {
    return "<h2>" + escape_html(say(key, order.language)) + "</h2>";
  };
  std::string html = "<h1>" + escape_html(order.input.score.title) + "</h1>";
  html += paragraph(order.student) + paragraph(order.note);
  html += heading("sheet.to-practise") + "<ol>";
  for (const LessonItem* item : plan.lesson.chosen()) {
    html += "<li>" + escape_html(say(item->title, order.language));
    if (!item->why.empty()) html += paragraph(say(item->why, order.language));
    html += "</li>";
  }
  html += "</ol>" + heading("sheet.ladder") + paragraph(tempo_text(plan.lesson.ladder));
  for (const Goal& goal : plan.lesson.goals) {
    html += paragraph(goal.said(order.for_adult, order.language));
  }
  return html + paragraph(say("sheet.cautions", order.language));
}

}  // namespace

Result<std::string> take_home_of(const LessonOrder& order, const LessonPlan& plan,
                                 const std::string& lesson_json) {
  auto pictures = pictures_of(order, plan);
  if (!pictures) return Unexpected(std::move(pictures).error());
  auto sounds = open_sounds(std::string(plan.instrument->name));
  if (!sounds) return Unexpected(std::move(sounds).error());
  ToneBank tones(**sounds);
  const auto bank = sound_bank(all_notes(plan), tones);
  if (!bank) return Unexpected(Error(bank.error()));
  const std::string core = built_core();

  TakeHomeOrder page;
  page.title = order.input.score.title;
  page.language = tag(order.language);
  page.lesson_json = lesson_json;
  page.without_script = without_script(order, plan);
  page.pictures = std::move(*pictures);
  page.bank = &*bank;
  page.core = core;
  page.piece_sha256 = book::sha256(order.input.bytes);
  page.may_say = order.may_say.value_or(usual_kinds_to_say());
  return take_home_html(page);
}

}  // namespace endpin::app
