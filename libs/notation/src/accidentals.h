#pragma once

#include <map>
#include <optional>
#include <string_view>
#include <utility>

#include "endpin/score/score.h"

namespace endpin::notation {

/// Semitones that a signature of `fifths` sharps gives to `step`.
int key_alter(Step step, int fifths);

/// Follows the accidentals of one bar, as they are printed: valid to its end, on their own line.
class Accidentals {
 public:
  void start_bar(int fifths);
  void change_key(int fifths) { start_bar(fifths); }
  /// The accidental to print before `pitch` on `staff`, as MusicXML names it; none where the key or
  /// an earlier one says it, or where a tie brings the note in.
  std::optional<std::string_view> for_note(SpelledPitch pitch, int staff, bool tied_in);

 private:
  int fifths_ = 0;
  std::map<std::pair<int, int>, int> said_;  // staff and line → alter
};

}  // namespace endpin::notation
