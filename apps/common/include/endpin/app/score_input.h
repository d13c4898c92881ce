#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/score/mend.h"
#include "endpin/score/score.h"
#include "endpin/score/transpose.h"
#include "endpin/timeline/timeline.h"

namespace endpin::app {

/// How a part is chosen from a file.
struct ScoreChoice {
  std::string part;         ///< number from 1, or name; empty: the bowed string part
  int tune = 0;             ///< the X: number in a file of many tunes; 0: the first
  std::string instrument;   ///< "violin", "viola", "cello", "bass"; empty: told by the score
  std::string transpose{};  ///< an interval ("M2", "-m3", "-5" semitones), or empty
  std::string key{};        ///< a tonic to transpose to ("G", "Bb"), or empty
};

/// A score as the programs need it: read, its part chosen, unfolded.
struct ScoreInput {
  std::string file;   ///< for messages
  std::string bytes;  ///< the file's content; MusicXML of its own where it was transposed
  Score score;
  int part = 0;            ///< index into score.parts
  std::string instrument;  ///< never empty: "cello" where nothing tells
  Timeline timeline;
};

/// What a teacher changed over a score that was read: notes put right, then all of it moved.
struct ScoreChanges {
  std::vector<Mend> mends;
  std::optional<Interval> moved;
  bool empty() const { return mends.empty() && !moved; }
};

/// The input with the changes over it, written anew so that everything after takes it for the
/// piece. Errors: nothing sounds any more.
Result<ScoreInput> changed(ScoreInput input, const ScoreChanges& changes);

/// Reads `path` and takes the part. Errors name the file, the place, what is wrong, what to do.
Result<ScoreInput> read_score_input(const std::filesystem::path& path, const ScoreChoice& choice);

/// The same for bytes that are here already; `file` names them in messages.
Result<ScoreInput> score_input(std::string bytes, std::string file, const ScoreChoice& choice);

}  // namespace endpin::app
