#include "sheet_of.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/core.h>

#include "endpin/words/note_names.h"
#include "endpin/words/sentence.h"

namespace endpin::app {
namespace {

constexpr std::size_t most_counting_rows = 3;

std::string class_name(SpelledPitch pitch) {
  const std::string text = pitch.text();
  return text.substr(0, text.size() - 1);
}

SheetFact key_fact(const LessonOrder& order, const LessonPlan& plan) {
  const ScaleKey& key = plan.key;
  SheetFact fact;
  fact.label = say("sheet.key", order.language);
  fact.figure = key_said(key, order.language);
  std::vector<std::string> signs;
  for (int i = 0; i < std::abs(key.fifths); ++i) {
    signs.push_back(
        note_name(from_line_of_fifths(key.fifths > 0 ? 6 + i : -2 - i, 4), order.language));
  }
  if (signs.empty()) {
    fact.lines.push_back(say("sheet.no-signs", order.language));
  } else {
    fact.lines.push_back(say({key.fifths > 0 ? "sheet.sharps" : "sheet.flats",
                              {{"many", argument(static_cast<int>(signs.size()))},
                               {"notes", join_list(signs, order.language)}}},
                             order.language));
  }
  return fact;
}

// Where the sharps and flats lie under the fingers, the most frequent first.
std::vector<std::string> finger_lines(const LessonOrder& order, const LessonPlan& plan) {
  std::map<std::tuple<int, int, int>, std::pair<int, const TimelineNote*>> times;
  for (const TimelineNote& note : plan.timeline.notes) {
    if (note.spelled.alter == 0 || !note.finger || !note.string) continue;
    auto& entry = times[{note.midi, *note.string, *note.finger}];
    ++entry.first;
    if (entry.second == nullptr) entry.second = &note;
  }
  std::vector<std::pair<int, const TimelineNote*>> sorted;
  for (const auto& [place, entry] : times) sorted.push_back(entry);
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<std::string> lines;
  for (std::size_t i = 0; i < sorted.size() && i < 2; ++i) {
    const TimelineNote& note = *sorted[i].second;
    lines.push_back(first_capital(say({"sheet.finger",
                                       {{"note", class_name(note.spelled)},
                                        {"finger", argument(*note.finger)},
                                        {"string", string_letter(*plan.instrument, *note.string)}}},
                                      order.language)));
  }
  return lines;
}

// "2", "1½", "⅔": clicks as players write them.
std::string clicks_text(Beats clicks) {
  const std::int64_t whole = clicks.numerator() / clicks.denominator();
  const Beats rest = clicks - Beats(whole);
  std::string fraction;
  if (rest == Beats(1, 2)) fraction = "½";
  if (rest == Beats(1, 4)) fraction = "¼";
  if (rest == Beats(3, 4)) fraction = "¾";
  if (fraction.empty() && rest != Beats(0)) return clicks.text();
  return (whole == 0 && !fraction.empty() ? "" : std::to_string(whole)) + fraction;
}

// In 6/8 one counts the eighths, although the click is slower.
std::string counts_of(Beats duration, Beats unit, Language language) {
  const Beats counts = duration / unit;
  const Beats notes = Beats(1) / counts;
  if (counts < Beats(1) && notes.denominator() == 1) {
    return say({"sheet.notes-a-count", {{"notes", notes.text()}}}, language);
  }
  return say({"sheet.counts", {{"counts", clicks_text(counts)}}}, language);
}

std::string clicks_of(Beats duration, Beats unit, Language language) {
  if (unit.numerator() == 3) return counts_of(duration, unit / Beats(3), language);
  const Beats clicks = duration / unit;
  const Beats notes = Beats(1) / clicks;
  if (clicks < Beats(1) && notes.denominator() == 1) {
    return say({"sheet.notes-a-click", {{"notes", notes.text()}}}, language);
  }
  if (clicks < Beats(1)) {
    return say({"sheet.part-of-click", {{"share", clicks_text(clicks)}}}, language);
  }
  return say({"sheet.clicks", {{"clicks", clicks_text(clicks)}}}, language);
}

// "1 (2) & 3 [4]": beats that are held in round brackets, beats of rest in square ones.
std::string syllables(const CountedBar& bar, Language language) {
  std::string text;
  for (const CountedPlace& place : bar.places) {
    const std::string said = say(place.says, language);
    if (!text.empty()) text += ' ';
    switch (place.kind) {
      case CountedPlace::Kind::note:
        text += said;
        break;
      case CountedPlace::Kind::held:
        text += "(" + said + ")";
        break;
      case CountedPlace::Kind::rest:
        text += "[" + said + "]";
        break;
    }
  }
  return text;
}

// How the hardest bar is counted, and how the piece is built.
void add_counting_and_form(SheetFact& fact, const Study& study, Language language) {
  if (study.counting.hardest) {
    const CountedBar& bar = study.counting.bars.at(*study.counting.hardest);
    fact.rows.emplace_back(say({"sheet.count-bar", {{"bars", bar.bar}}}, language),
                           syllables(bar, language));
  }
  if (study.form.phrases.size() > 1) {
    fact.rows.emplace_back(say("sheet.form", language), study.form.map);
  }
}

SheetFact counting_fact(const LessonOrder& order, const LessonPlan& plan) {
  SheetFact fact;
  fact.label = say("sheet.counting", order.language);
  const TimelineBar& first = plan.timeline.bars.front();
  fact.figure = fmt::format("{}/{}", first.beats, first.beat_type);
  std::map<Beats, int> times;
  for (const TimelineNote& note : plan.timeline.notes) {
    if (!duration_key(note.duration).empty()) ++times[note.duration];
  }
  std::vector<std::pair<Beats, int>> most(times.begin(), times.end());
  std::stable_sort(most.begin(), most.end(),
                   [](const auto& a, const auto& b) { return a.second > b.second; });
  if (most.size() > most_counting_rows) most.resize(most_counting_rows);
  std::sort(most.begin(), most.end(),
            [](const auto& a, const auto& b) { return a.first > b.first; });
  for (const auto& [duration, count] : most) {
    fact.rows.emplace_back(duration_name(duration, order.language),
                           clicks_of(duration, plan.timeline.beat_unit, order.language));
  }
  add_counting_and_form(fact, plan.study, order.language);
  return fact;
}

SheetFact goal_fact(const LessonOrder& order, const LessonPlan& plan) {
  SheetFact fact;
  fact.label = say("sheet.goal", order.language);
  fact.figure = tempo_text(plan.timeline.beat_unit, plan.lesson.goal_per_minute);
  for (const Goal& goal : plan.lesson.goals) {
    fact.lines.push_back(goal.said(order.for_adult, order.language));
  }
  return fact;
}

void add_tasks(Sheet& sheet, const LessonOrder& order, const LessonPlan& plan,
               const Drawings& drawings) {
  for (const LessonItem* item : plan.lesson.chosen()) {
    if (item->kind == ItemKind::ladder) continue;
    SheetTask task;
    task.name = first_capital(say(item->title, order.language));
    if (!item->why.empty()) task.why = say(item->why, order.language);
    if (const auto svg = drawings.exercises.find(item->key); svg != drawings.exercises.end()) {
      task.svg = svg->second;
      task.wide = drawings.wide.at(item->key);
      task.room = bar_number_room(drawings.exercise_staff_height);
    }
    sheet.tasks.push_back(std::move(task));
  }
  sheet.tasks_heading = say("sheet.to-practise", order.language);
  sheet.tasks_hint = say("sheet.tick", order.language);
}

void add_ladder(Sheet& sheet, const LessonOrder& order, const LessonPlan& plan) {
  const Ladder& ladder = plan.lesson.ladder;
  const auto& items = plan.lesson.order;
  if (std::find(items.begin(), items.end(), "ladder") == items.end()) return;
  for (const Rung& rung : ladder.rungs) {
    sheet.ladder.push_back({tempo_text(ladder.beat_unit, rung.per_minute), false});
  }
  sheet.ladder.back().goal = true;
  if (ladder.beat_unit != plan.timeline.beat_unit) {
    sheet.ladder.back().tempo +=
        " (" + tempo_text(plan.timeline.beat_unit, plan.lesson.goal_per_minute) + ")";
  }
  sheet.clean_runs = ladder.rungs.back().clean_runs;
  sheet.ladder_heading = say("sheet.ladder", order.language);
  const int minutes = std::max(1, static_cast<int>(std::lround(ladder.minutes())));
  sheet.ladder_hint = say({"sheet.ladder.hint", {{"minutes", argument(minutes)}}}, order.language);
  sheet.ladder_how =
      say({"sheet.ladder.how", {{"runs", argument(sheet.clean_runs)}}}, order.language);
}

std::string about_text(const LessonOrder& order, const LessonPlan& plan) {
  std::string text =
      first_capital(say("instrument." + std::string(plan.instrument->name), order.language));
  const std::string step = "step." + order.step;  // the teacher's word; a guess is not printed
  if (!catalogue_text(step, order.language).empty()) text += ", " + say(step, order.language);
  return text + " · " + date_text(order.date, order.language);
}

}  // namespace

std::string first_capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 32);
  return text;
}

std::string key_said(const ScaleKey& key, Language language) {
  return first_capital(say(
      {key.minor ? "key.minor" : "key.major", {{"tonic", class_name(key.tonic(4))}}}, language));
}

std::string date_text(std::string_view date, Language language) {
  const int day = std::stoi(std::string(date.substr(8, 2)));
  const int month = std::stoi(std::string(date.substr(5, 2)));
  const bool first = language == Language::fr && day == 1;
  return say({"date.day",
              {{"day", first ? "1er" : argument(day)},
               {"month", "date.month." + argument(month)},
               {"year", std::string(date.substr(0, 4))}}},
             language);
}

std::string tempo_text(Beats unit, double per_minute) {
  struct Sign {
    Beats unit;
    std::string_view text;
  };
  const Sign signs[] = {{Beats(1), "♩"},     {Beats(1, 2), "♪"},  {Beats(2), "𝅗𝅥"},
                        {Beats(3, 2), "♩."}, {Beats(3, 4), "♪."}, {Beats(3), "𝅗𝅥."}};
  for (const Sign& sign : signs) {
    if (sign.unit == unit) return fmt::format("{} = {:g}", sign.text, per_minute);
  }
  return fmt::format("{:g}", per_minute);
}

Sheet sheet_of(const LessonOrder& order, const LessonPlan& plan, const Drawings& drawings) {
  Sheet sheet;
  sheet.language = order.language;
  sheet.paper = order.paper;
  sheet.print = order.large_print ? Print::large : Print::normal;
  const std::string instrument =
      first_capital(say("instrument." + std::string(plan.instrument->name), order.language));
  sheet.title = order.input.score.title.empty() ? instrument : order.input.score.title;
  sheet.document_title = sheet.title == instrument ? instrument : sheet.title + " – " + instrument;
  sheet.composer = order.input.score.composer;
  sheet.for_label = say("sheet.for", order.language);
  sheet.student = order.student;
  sheet.about = about_text(order, plan);
  SheetFact key = key_fact(order, plan);
  for (std::string& line : finger_lines(order, plan)) key.lines.push_back(std::move(line));
  sheet.facts = {std::move(key), counting_fact(order, plan), goal_fact(order, plan)};
  sheet.part = drawings.piece;
  sheet.part_room = bar_number_room(drawings.staff_height);
  add_tasks(sheet, order, plan, drawings);
  add_ladder(sheet, order, plan);
  sheet.note_label = say("sheet.note", order.language);
  sheet.note = order.note;
  sheet.cautions = say("sheet.cautions", order.language);
  return sheet;
}

}  // namespace endpin::app
