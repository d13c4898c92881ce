#pragma once

#include <string>
#include <utility>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/words/language.h"

/// The paper that goes home: everything on it is said already, in the reader's language.
namespace endpin::app {

enum class Paper { a4, letter };
/// How much room things take: large print is for eyes at arm's length, dense for long pieces.
enum class Print { normal, large, dense };

/// A box above the part: a label, what it is about in large letters, and a few lines or a table.
struct SheetFact {
  std::string label;
  std::string figure;
  std::vector<std::string> lines;
  std::vector<std::pair<std::string, std::string>> rows;
};

/// One numbered thing to do.
struct SheetTask {
  std::string name;
  std::string why;
  std::string svg;    ///< engraved, or empty
  bool wide = false;  ///< over the whole width
  double room = 0;    ///< left of the picture's first staff, millimetres
};

struct SheetRung {
  std::string tempo;  ///< "♩ = 66"
  bool goal = false;
};

struct Sheet {
  Language language = Language::en_us;
  Paper paper = Paper::a4;
  Print print = Print::normal;
  int boxes = 5;       ///< to tick, a task
  int clean_runs = 3;  ///< to tick, a rung
  std::string document_title;
  std::string title;
  std::string composer;
  std::string for_label;  ///< before the line where a name is written
  std::string student;    ///< a name instead of that line, or empty
  std::string about;      ///< instrument, step, date
  std::vector<SheetFact> facts;
  std::vector<std::string> part;  ///< engraved pages
  double part_room = 0;           ///< left of their staves, millimetres
  std::string tasks_heading, tasks_hint;
  std::vector<SheetTask> tasks;
  std::string ladder_heading, ladder_hint, ladder_how;
  std::vector<SheetRung> ladder;
  std::string note_label;  ///< empty: there is no room for a note
  std::string note;        ///< the teacher's own words, or empty: lines to write on
  std::string cautions;
  bool practice_on_new_page = false;  ///< when part and tasks do not share one page
  bool part_alone = false;            ///< then ladder and note follow the tasks
};

/// What is left of the paper inside its margins, millimetres.
struct PaperArea {
  double width, height;
};
PaperArea area(Paper paper);
/// The engraver leaves this much to the left of the first system for bar numbers.
double bar_number_room(double staff_height);

/// One HTML document that needs no other file: fonts and pictures are inside. Errors (machine):
/// the fonts are not installed.
Result<std::string> sheet_html(const Sheet& sheet);

/// Several sheets as one document, each on a page of its own. Language, paper, print and document
/// title are those of the first. REQUIRES: not empty.
Result<std::string> sheets_html(const std::vector<Sheet>& sheets);

/// Text for HTML: its own signs escaped; ♯ ♭ ♮ and note values drawn, since text fonts lack them.
std::string html_text(std::string_view text);

}  // namespace endpin::app
