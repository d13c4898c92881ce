#pragma once

#include <utility>
#include <vector>

#include "endpin/base/audio.h"
#include "endpin/timeline/timeline.h"

/// Real faults with real sound: what was played stays, the score is changed so that it is wrong of
/// it; or the sound is cut so that it goes back, leaves out or begins later.
namespace endpin::simulator {

struct Altered {
  Timeline timeline;
  std::vector<int> original;  ///< for each note the index it had before, or -1 if it is new
};

/// Note `index` written `by` semitones from what is played. REQUIRES: by != 0.
Altered with_pitch(const Timeline& timeline, int index, int by);
/// A note of `midi`, as long as note `index`, put in after it; what follows moves on.
Altered with_note_after(const Timeline& timeline, int index, int midi);
/// Note `index` taken out; the one before lasts through its time.
Altered without_note(const Timeline& timeline, int index);
/// Notes `index` and the next, of one length, as long and short: three to one.
Altered with_uneven_pair(const Timeline& timeline, int index);
/// A copy of bar `copied`, transposed by `by`, put in before bar `bar`. Bars by place.
Altered with_bar_before(const Timeline& timeline, int bar, int copied, int by);
/// Bar `bar` taken out.
Altered without_bar(const Timeline& timeline, int bar);

/// First and one past the last note that begin in bar `bar`.
std::pair<int, int> notes_of_bar(const Timeline& timeline, int bar);

/// The stretches of `audio` one after the other, each joined to the next within 8 ms.
Audio cut(const Audio& audio, const std::vector<std::pair<Seconds, Seconds>>& stretches);

}  // namespace endpin::simulator
