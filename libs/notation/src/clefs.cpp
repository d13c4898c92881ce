#include "clefs.h"

#include <algorithm>

#include "endpin/score/unfold.h"

namespace endpin::notation {
namespace {

bool has_clef(const Part& part) {
  return std::any_of(part.bars.begin(), part.bars.end(), [](const Bar& bar) {
    return std::any_of(bar.changes.begin(), bar.changes.end(),
                       [](const Change& c) { return c.kind == ChangeKind::clef; });
  });
}

bool lies_low(const Part& part) {
  constexpr int violin_g3 = 55;
  constexpr int middle_d = 62;
  int lowest = 127;
  int highest = 0;
  for (const Bar& bar : part.bars) {
    for (const Note& note : bar.notes) {
      if (note.is_rest() || note.unpitched) continue;
      lowest = std::min(lowest, note.pitch.midi());
      highest = std::max(highest, note.pitch.midi());
    }
  }
  return lowest < violin_g3 && (lowest + highest) / 2 < middle_d;
}

Clef clef_for(const Part& part) {
  constexpr Clef bass{ClefSign::f, 4, 0, 1};
  constexpr Clef alto{ClefSign::c, 3, 0, 1};
  const std::string instrument = guess_instrument(part);
  if (instrument == "viola") return alto;
  if (instrument == "cello" || instrument == "bass") return bass;
  return lies_low(part) ? bass : Clef{};
}

}  // namespace

void settle_clefs(Score& score) {
  for (Part& part : score.parts) {
    if (part.bars.empty() || has_clef(part)) continue;
    Change change;
    change.kind = ChangeKind::clef;
    change.clef = clef_for(part);
    part.bars.front().changes.push_back(change);
  }
}

}  // namespace endpin::notation
