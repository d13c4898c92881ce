#include "class_set_sheets.h"

#include <algorithm>
#include <cstdlib>

#include <fmt/core.h>

#include "endpin/engraving/engraving.h"
#include "endpin/engraving/line_breaks.h"
#include "endpin/words/note_names.h"
#include "endpin/words/sentence.h"

#include "picture.h"
#include "sheet_of.h"

namespace endpin::app {
namespace {

// Millimetres: a part to play from, lines below it, and a score in which four staves stand.
constexpr double tune_staff = 6.6, line_staff = 5.4, score_staff = 5.0, larger = 1.35;
constexpr double score_head = 64;  // above the score on the first page, and the foot below it
constexpr SetLineKind below_the_tune[] = {SetLineKind::warm_up, SetLineKind::second,
                                          SetLineKind::long_notes, SetLineKind::rhythm,
                                          SetLineKind::open_strings};

class Sheets {
 public:
  Sheets(const ClassSetOrder& order, const ClassSet& set) : order_(order), set_(set) {}

  Result<std::vector<Sheet>> make() {
    ask_for_score();
    for (const InstrumentKind kind : order_.instruments) {
      ask_for(*set_.find(SetLineKind::tune, kind), tune_staff);
      for (const SetLineKind line : below_the_tune) {
        if (const SetLine* found = set_.find(line, kind)) ask_for(*found, line_staff);
      }
    }
    auto drawn = engrave_all(requests_);
    if (!drawn) return Unexpected(std::move(drawn).error());
    drawn_ = std::move(*drawn);
    std::vector<Sheet> sheets{score_sheet()};
    for (const InstrumentKind kind : order_.instruments) sheets.push_back(sheet_for(kind));
    return sheets;
  }

 private:
  double staff(double height) const { return order_.large_print ? height * larger : height; }

  void ask_for_score() {
    Score score = set_.score;
    const double height = staff(score_staff);
    for (Part& part : score.parts) set_line_breaks(part, 0.94 * line_of_spaces(height));
    MarkingsById shown;
    for (const InstrumentKind kind : order_.instruments) {
      shown.merge(shown_markings(set_.find(SetLineKind::tune, kind)->markings));
    }
    EngraveRequest request = picture_request(score, shown, area(order_.paper).width, height, 1);
    request.options.height = area(order_.paper).height - score_head;
    requests_.push_back(std::move(request));
  }

  double line_of_spaces(double staff_height) const {
    return area(order_.paper).width / (staff_height / 4);
  }

  void ask_for(const SetLine& line, double staff_height) {
    Score score = part_alone(line.score, 0);
    set_line_breaks(score.parts[0], line_of_spaces(staff(staff_height)));
    const bool every_finger = line.kind == SetLineKind::warm_up;
    requests_.push_back(picture_request(score, shown_markings(line.markings, every_finger),
                                        area(order_.paper).width, staff(staff_height),
                                        static_cast<int>(requests_.size()) + 1));
  }

  std::vector<std::string> next_pages() { return std::move(drawn_[next_++].pages); }

  std::string said(std::string_view key) const { return say(key, order_.language); }

  Sheet empty_sheet(const std::string& about) const {
    Sheet sheet;
    sheet.language = order_.language;
    sheet.paper = order_.paper;
    sheet.print = order_.large_print ? Print::large : Print::normal;
    const std::string title = order_.input.score.title;
    sheet.title = title.empty() ? said("set.title") : title;
    sheet.document_title = sheet.title + " – " + said("set.title");
    sheet.composer = order_.input.score.composer;
    sheet.for_label = said("sheet.for");
    sheet.about = about + " · " + date_text(order_.date, order_.language);
    sheet.cautions = said("sheet.cautions");
    return sheet;
  }

  std::string key_text() const { return key_said(set_.key, order_.language); }

  Sheet score_sheet() {
    Sheet sheet = empty_sheet(said("set.score"));
    SheetFact key;
    key.label = said("sheet.key");
    key.figure = key_text();
    SheetFact knows;
    knows.label = said("set.to-know");
    knows.lines = remarks_on(set_, order_.language);
    if (knows.lines.empty()) knows.lines.push_back(said("set.all-in-hand"));
    sheet.facts = {std::move(key), std::move(knows)};
    sheet.part = next_pages();
    sheet.part_room = bar_number_room(staff(score_staff));
    return sheet;
  }

  Sheet sheet_for(InstrumentKind kind) {
    const SetLine& tune = *set_.find(SetLineKind::tune, kind);
    Sheet sheet = empty_sheet(
        first_capital(say("instrument." + std::string(tune.instrument->name), order_.language)));
    SheetFact key;
    key.label = said("sheet.key");
    key.figure = key_text();
    sheet.facts = {std::move(key)};
    sheet.part = next_pages();
    sheet.part_room = bar_number_room(staff(tune_staff));
    sheet.tasks_heading = said("set.lines");
    for (const SetLineKind line : below_the_tune) {
      if (set_.find(line, kind) == nullptr) continue;
      SheetTask task;
      const std::string text = "set." + std::string(name(line));
      task.name = said(text);
      task.why = said(text + ".why");
      for (std::string& page : next_pages()) task.svg += page;
      task.wide = true;
      task.room = bar_number_room(staff(line_staff));
      sheet.tasks.push_back(std::move(task));
    }
    return sheet;
  }

  const ClassSetOrder& order_;
  const ClassSet& set_;
  std::vector<EngraveRequest> requests_;
  std::vector<Engraving> drawn_;
  std::size_t next_ = 0;
};

}  // namespace

Result<std::vector<Sheet>> class_set_sheets(const ClassSetOrder& order, const ClassSet& set) {
  return Sheets(order, set).make();
}

}  // namespace endpin::app
