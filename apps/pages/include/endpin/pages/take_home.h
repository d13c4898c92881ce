#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/perform/sound_bank.h"

namespace endpin::app {

/// A picture of the lesson in two shapes, as SVG documents.
struct TakeHomePicture {
  std::string key;  ///< "piece", or an exercise's
  std::vector<std::string> narrow;
  std::vector<std::string> wide;  ///< empty: the narrow one serves
};

/// What a student takes home. What it points to outlives the call.
struct TakeHomeOrder {
  std::string title;
  std::string language;        ///< "en-US"
  std::string lesson_json;     ///< `endpin.lesson/1`
  std::string without_script;  ///< HTML: tasks and ladder, for a phone that runs no code
  std::vector<TakeHomePicture> pictures;
  const SoundBank* bank = nullptr;  ///< none: the page makes its sound with oscillators
  std::string_view core;  ///< the listening core as WebAssembly; empty: it does not listen
  std::optional<std::string> lesson_id;
  std::optional<std::string> student_token;  ///< none: the page is anybody's
  std::string piece_sha256;
  /// Kinds of finding to work on that the page may say by itself.
  std::vector<std::string> may_say;
};

/// Long notes and new starts: what a child can mend alone (the teacher may choose otherwise).
std::vector<std::string> usual_kinds_to_say();

/// The listening core that the build for the browser has made, or an empty string without one.
std::string built_core();

/// One HTML page that needs nothing else. Errors: a page that has not been built, the encoder's.
Result<std::string> take_home_html(const TakeHomeOrder& order);

/// The same page for one student: `page` as `take_home_html` made it, without either mark.
/// Errors (machine): it is another page.
Result<std::string> addressed_take_home(std::string page, const std::string& lesson_id,
                                        const std::string& student_token);

}  // namespace endpin::app
