#pragma once

#include <string>
#include <string_view>

#include "endpin/base/result.h"
#include "endpin/base/units.h"

namespace endpin::app {

/// Prints a self-contained HTML document to PDF with headless Chromium, fonts embedded, the
/// document's title kept. Paper and margins are those of its `@page` rule. `date` ("2026-03-01")
/// becomes the date of creation, at midnight UTC: the same HTML and date give the same bytes.
/// Errors (machine): Chromium is missing, failed, or was not done within `limit`. About 1.5 s.
/// REQUIRES: `date` is ten characters of the form YYYY-MM-DD.
Result<std::string> print_pdf(std::string_view html, std::string_view date,
                              Seconds limit = Seconds(60));

/// How many pages a PDF that `print_pdf` made has; 0 if that cannot be told.
int page_count(std::string_view pdf);

}  // namespace endpin::app
