#include "print_sheet.h"

#include <algorithm>
#include <cstdio>
#include <optional>
#include <utility>
#include <vector>

#include "endpin/engraving/pdf.h"

namespace endpin::app {
namespace {

// Millimetres at normal print, measured on printed sheets.
constexpr double head = 20, fact_line = 4.6, fact_head = 12, section_head = 9, task_text = 10.5;
constexpr double ladder = 29, note = 17, foot = 7, column_gap = 8, rows_gap = 2.7;
constexpr double dense_share = 0.9;

// The height that a picture has when it is `width` wide, from its view box; 0 if it has none.
double height_of(const std::string& svg, double width) {
  double w = 0, h = 0;
  const std::size_t at = svg.find("viewBox=\"0 0 ");
  if (at == std::string::npos) return 0;
  if (std::sscanf(svg.c_str() + at, "viewBox=\"0 0 %lf %lf\"", &w, &h) != 2 || w <= 0) return 0;
  return h / w * width;
}

double facts_height(const Sheet& sheet) {
  std::size_t lines = 0;
  for (const SheetFact& fact : sheet.facts) {
    std::size_t own = fact.rows.size();
    for (const std::string& line : fact.lines) own += 1 + line.size() / 62;
    lines = std::max(lines, own);
  }
  return fact_head + fact_line * static_cast<double>(lines);
}

double tasks_height(const Sheet& sheet) {
  const double width = area(sheet.paper).width;
  double height = section_head;
  double waiting = 0;  // the height of a left column whose right one is still to come
  for (const SheetTask& task : sheet.tasks) {
    const double column = task.wide ? width : (width - column_gap) / 2;
    const double own = task_text + rows_gap + (task.svg.empty() ? 0 : height_of(task.svg, column));
    if (task.wide) {
      height += std::exchange(waiting, 0) + own;
    } else if (waiting > 0) {
      height += std::max(std::exchange(waiting, 0), own);
    } else {
      waiting = own;
    }
  }
  return height + waiting;
}

// From the head of the sheet to the part's last system.
double part_height(const Sheet& sheet) {
  double height = head + facts_height(sheet);
  for (const std::string& page : sheet.part) height += height_of(page, area(sheet.paper).width);
  return height;
}

enum class Layout { one_page, dense, two_pages };

std::vector<Layout> layouts(const Sheet& sheet) {
  if (sheet.print == Print::large) return {Layout::one_page, Layout::two_pages};
  const double room = area(sheet.paper).height;
  const double height = guessed_height(sheet);
  if (height * dense_share > 1.06 * room) return {Layout::two_pages};
  if (height > room) return {Layout::dense, Layout::two_pages};
  return {Layout::one_page, Layout::dense, Layout::two_pages};
}

Result<PrintedSheet> print_once(const Sheet& sheet, std::string_view date) {
  auto html = sheet_html(sheet);
  if (!html) return Unexpected(std::move(html).error());
  auto pdf = print_pdf(*html, date);
  if (!pdf) return Unexpected(std::move(pdf).error());
  return PrintedSheet{std::move(*html), std::move(*pdf)};
}

}  // namespace

double guessed_height(const Sheet& sheet) {
  double height = part_height(sheet) + tasks_height(sheet) + note + foot;
  if (!sheet.ladder.empty()) height += ladder;
  return height + static_cast<double>(sheet.note.size()) / 95 * fact_line;
}

Result<PrintedSheet> print_sheet(Sheet sheet, std::string_view date) {
  const Print wanted = sheet.print;
  std::optional<PrintedSheet> printed;
  for (const Layout layout : layouts(sheet)) {
    sheet.print = layout == Layout::dense ? Print::dense : wanted;
    sheet.practice_on_new_page = layout == Layout::two_pages;
    sheet.part_alone = part_height(sheet) + ladder + note > area(sheet.paper).height;
    auto attempt = print_once(sheet, date);
    if (!attempt) return attempt;
    printed = std::move(*attempt);
    if (page_count(printed->pdf) == 1) break;
  }
  return std::move(*printed);
}

}  // namespace endpin::app
