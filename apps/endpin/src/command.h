#pragma once

#include <functional>
#include <string>

#include "endpin/app/score_input.h"
#include "endpin/base/result.h"

namespace CLI {
class App;
}

namespace endpin::cli {

/// What every verb takes.
struct CommonOptions {
  std::string part;        ///< --part: number from 1, or name; empty: the bowed string part
  int tune = 0;            ///< --tune: the X: number in a file of many tunes; 0: the first
  std::string instrument;  ///< --instrument; empty: told by the score, else cello
  std::string transpose;   ///< --transpose: an interval; empty: as written
  std::string key;         ///< --key: the tonic to transpose to; empty: as written
  std::string step;        ///< --step; empty: what the piece demands
  std::string language = "en-US";

  app::ScoreChoice choice() const { return {part, tune, instrument, transpose, key}; }
};

/// Adds the common options to a verb.
void add_common_options(CLI::App& verb, CommonOptions& options);

/// Makes `action` what the verb does; its error becomes the one line on stderr and the exit code.
void set_action(CLI::App& verb, std::function<Result<void>()> action);

}  // namespace endpin::cli
