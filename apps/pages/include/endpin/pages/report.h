#pragma once

#include <string>

#include "endpin/app/score_input.h"
#include "endpin/base/audio.h"
#include "endpin/base/result.h"
#include "endpin/hearing/hearing.h"
#include "endpin/words/language.h"

namespace endpin::app {

/// A hearing to be drawn. What it points to outlives the call.
struct ReportOrder {
  const ScoreInput& score;
  const Hearing& hearing;
  const Audio& sound;     ///< whose second 0 is the hearing's
  std::string recording;  ///< its name, for the reader
  Language language = Language::en_us;
};

/// One HTML page with everything inside: the engraved part, what was measured beneath it, the sound
/// (Opus) and the findings. Asks for nothing from anywhere. Errors: the engraver's, the encoder's,
/// a page that has not been built.
Result<std::string> report_html(const ReportOrder& order);

}  // namespace endpin::app
