#pragma once

#include <string>
#include <string_view>

#include "endpin/base/result.h"

namespace endpin::app {

/// What a page is filled with.
struct PageData {
  std::string title;           ///< of the window
  std::string language;        ///< "en-US"
  std::string json;            ///< one JSON document in UTF-8, for the page's code
  std::string without_script;  ///< HTML that stands there until the code runs; may be empty
};

/// The page in one file that web/ has built as dist-NAME/NAME.html, filled. Code and styles stay as
/// built, so the hashes of its content security policy stay true. Errors (machine): the page has
/// not been built.
Result<std::string> fill_page(std::string_view name, const PageData& data);

/// The same for a page's text. Errors (machine): it has no place for the data.
Result<std::string> fill_page_text(std::string page, const PageData& data);

/// `text` with the characters that mean something in HTML written as references.
std::string escape_html(std::string_view text);

}  // namespace endpin::app
