#pragma once

#include <string>
#include <string_view>

#include "endpin/base/result.h"
#include "endpin/engraving/sheet.h"

namespace endpin::app {

struct PrintedSheet {
  std::string html;
  std::string pdf;
};

/// The roomiest print that fits: all on one page; the same set tighter; the practice on a second
/// page. A guess at the height spares prints that would not fit, the printed pages decide.
Result<PrintedSheet> print_sheet(Sheet sheet, std::string_view date);

/// About how high the sheet is on one page, millimetres.
double guessed_height(const Sheet& sheet);

}  // namespace endpin::app
