#include <iterator>

#include <fmt/format.h>

#include "endpin/engraving/sheet.h"

#include "sheet_css.h"
#include "sheet_fonts.h"

namespace endpin::app {
namespace {

// Margins: top, sides, bottom. Paper sizes: ISO 216 and ANSI/ASME Y14.1, millimetres.
// What lies outside the page box is cut off in print: bar numbers and end lines hang over the text
// by less than `overhang`.
constexpr double margin_top = 11, margin_side = 15, margin_bottom = 10, overhang = 6;
struct PaperSize {
  std::string_view css;
  double width, height;
};
PaperSize size_of(Paper paper) {
  return paper == Paper::letter ? PaperSize{"letter", 215.9, 279.4} : PaperSize{"A4", 210, 297};
}

constexpr int most_note_lines = 36;  // more than a page holds; what does not fit is hidden

class Writer {
 public:
  explicit Writer(const Sheet& sheet) : sheet_(sheet) {}

  std::string body() {
    add("<div class=\"page\">\n");
    header();
    facts();
    part();
    if (sheet_.practice_on_new_page && !sheet_.part_alone) {
      ladder();
      note();
      add("</div>\n<div class=\"page\">\n");
      tasks();
      add("<div class=\"room\"></div>\n");
    } else {
      if (sheet_.practice_on_new_page) add("</div>\n<div class=\"page\">\n");
      tasks();
      ladder();
      note();
    }
    add("<footer>{}</footer>\n</div>\n", html_text(sheet_.cautions));
    return std::move(html_);
  }

 private:
  template <typename... Args>
  void add(fmt::format_string<Args...> form, Args&&... args) {
    fmt::format_to(std::back_inserter(html_), form, std::forward<Args>(args)...);
  }

  void header() {
    add("<header><div><h1>{}</h1>\n<p class=\"composer\">{}</p></div>\n", html_text(sheet_.title),
        html_text(sheet_.composer));
    const std::string name = sheet_.student.empty() ? "<span class=\"blank\"></span>"
                                                    : "<b>" + html_text(sheet_.student) + "</b>";
    add("<div class=\"meta\"><div class=\"for\">{} {}</div><div>{}</div></div></header>\n",
        html_text(sheet_.for_label), name, html_text(sheet_.about));
  }

  void facts() {
    if (sheet_.facts.empty()) return;
    add("<section class=\"facts\">\n");
    for (const SheetFact& fact : sheet_.facts) {
      add("<div class=\"fact\"><div class=\"label\">{}</div><strong>{}</strong>",
          html_text(fact.label), html_text(fact.figure));
      for (const std::string& line : fact.lines) add("<div>{}</div>", html_text(line));
      if (!fact.rows.empty()) {
        add("<table>");
        for (const auto& [left, right] : fact.rows) {
          add("<tr><td>{}<td>{}", html_text(left), html_text(right));
        }
        add("</table>");
      }
      add("</div>\n");
    }
    add("</section>\n");
  }

  void part() {
    add("<div class=\"part score\"{}>\n", hang(sheet_.part_room));
    for (const std::string& page : sheet_.part) add("{}\n", page);
    add("</div>\n");
  }

  // Bar numbers hang to the left of the staff, which itself begins where the text does.
  static std::string hang(double room) {
    if (room == 0) return {};
    return fmt::format(" style=\"margin-left:-{0:.2f}mm;width:calc(100% + {0:.2f}mm)\"", room);
  }

  std::string boxes(int count) const {
    std::string html = "<span class=\"boxes\">";
    for (int i = 0; i < count; ++i) html += "<span class=\"box\"></span>";
    return html + "</span>";
  }

  void heading(std::string_view text, std::string_view hint) {
    add("<h2>{} <small>{}</small></h2>\n", html_text(text), html_text(hint));
  }

  void tasks() {
    if (sheet_.tasks.empty()) return;
    add("<section>\n");
    heading(sheet_.tasks_heading, sheet_.tasks_hint);
    add("<ol class=\"tasks\">\n");
    int number = 0;
    for (const SheetTask& task : sheet_.tasks) {
      add("<li class=\"task{}\"><span class=\"number\">{}</span><div class=\"said\"><div "
          "class=\"head\">"
          "<span class=\"name\">{}</span>{}</div>",
          task.wide ? " wide" : "", ++number, html_text(task.name), boxes(sheet_.boxes));
      if (!task.why.empty()) add("<p class=\"why\">{}</p>", html_text(task.why));
      add("</div>");
      if (!task.svg.empty()) {
        add("\n<div class=\"score\"{}>{}</div>", hang(task.room), task.svg);
      }
      add("</li>\n");
    }
    add("</ol></section>\n");
  }

  void ladder() {
    if (sheet_.ladder.empty()) return;
    add("<section class=\"climb\">\n");
    heading(sheet_.ladder_heading, sheet_.ladder_hint);
    add("<div class=\"ladder\">");
    int height = 0;
    for (const SheetRung& rung : sheet_.ladder) {
      add("<div class=\"rung{}\" style=\"--up:{}\"><div class=\"tempo-figure\">{}</div>{}</div>",
          rung.goal ? " goal" : "", height++, html_text(rung.tempo), boxes(sheet_.clean_runs));
    }
    add("</div>\n<p class=\"how\">{}</p></section>\n", html_text(sheet_.ladder_how));
  }

  void note() {
    if (sheet_.note_label.empty()) return add("<div class=\"room\"></div>\n");
    add("<section class=\"note\"><div class=\"label\">{}</div>", html_text(sheet_.note_label));
    if (!sheet_.note.empty()) add("<p class=\"words\">{}</p>", html_text(sheet_.note));
    add("<div class=\"lines\"><div>");
    for (int i = 0; i < most_note_lines; ++i) add("<i></i>");
    add("</div></div></section>\n");
  }

  const Sheet& sheet_;
  std::string html_;
};

std::string page_rules(Paper paper) {
  const PaperSize size = size_of(paper);
  return fmt::format(
      "@page{{size:{};margin:{}mm {}mm {}mm}}\n"
      ":root{{--paper-width:{}mm;--margin:{}mm {}mm "
      "{}mm;--overhang:{}mm;--page-height:{:.1f}mm}}\n",
      size.css, margin_top, margin_side - overhang, margin_bottom, size.width, margin_top,
      margin_side - overhang, margin_bottom, overhang, area(paper).height);
}

std::string_view print_class(Print print) {
  constexpr std::string_view names[] = {"normal", "large", "dense"};
  return names[static_cast<std::size_t>(print)];
}

}  // namespace

PaperArea area(Paper paper) {
  const PaperSize size = size_of(paper);
  // A hair less than the page, or rounding would open an empty second one.
  return {size.width - 2 * margin_side, size.height - margin_top - margin_bottom - 0.4};
}

double bar_number_room(double staff_height) { return 40.0 / 72.0 * staff_height; }

Result<std::string> sheet_html(const Sheet& sheet) { return sheets_html({sheet}); }

Result<std::string> sheets_html(const std::vector<Sheet>& sheets) {
  const Sheet& sheet = sheets.front();
  std::string body;
  for (const Sheet& one : sheets) body += Writer(one).body();
  auto fonts = embedded_fonts();
  if (!fonts) return fonts;
  return fmt::format(
      "<!doctype html>\n<html lang=\"{}\">\n<meta charset=\"utf-8\">\n"
      "<meta name=\"viewport\" content=\"width=device-width\">\n<title>{}</title>\n"
      "<style>\n{}{}{}</style>\n<body class=\"{}\">\n{}</body>\n</html>\n",
      tag(sheet.language), html_text(sheet.document_title), *fonts, page_rules(sheet.paper),
      sheet_css, print_class(sheet.print), body);
}

}  // namespace endpin::app
