#include "endpin/lesson/arrange.h"

#include <array>
#include <cmath>
#include <cstdlib>
#include <utility>
#include <vector>

#include "endpin/instrument/stops.h"
#include "endpin/lesson/recipes.h"
#include "endpin/score/transpose.h"
#include "endpin/score/unfold.h"

namespace endpin {
namespace {

struct Identity {
  std::string_view name, sound;
  int program;  // General MIDI level 1, from 1
};

constexpr std::array<Identity, 4> identities{{{"Violin", "strings.violin", 41},
                                              {"Viola", "strings.viola", 42},
                                              {"Cello", "strings.cello", 43},
                                              {"Double Bass", "strings.contrabass", 44}}};

Clef clef_of(const Instrument& instrument) {
  Clef clef;
  switch (instrument.clef) {
    case ClefName::treble:
      break;
    case ClefName::alto:
      clef.sign = ClefSign::c;
      clef.line = 3;
      break;
    case ClefName::tenor:
      clef.sign = ClefSign::c;
      clef.line = 4;
      break;
    case ClefName::bass:
      clef.sign = ClefSign::f;
      clef.line = 4;
      break;
  }
  return clef;
}

template <typename Visit>
void for_each_pitch(Part& part, Visit&& visit) {
  for (Bar& bar : part.bars) {
    for (Note& note : bar.notes) {
      if (!note.is_rest() && !note.unpitched) visit(note);
    }
  }
}

int octaves_out(int midi, const Instrument& to) {
  if (midi < to.lowest_midi()) return (to.lowest_midi() - midi + 11) / 12;
  if (midi > to.highest_midi) return -((midi - to.highest_midi + 11) / 12);
  return 0;
}

// Notes out of the instrument's range weigh most, then those out of the step's reach; then how far
// the tune lies from the second string.
double octave_cost(const std::vector<SpelledPitch>& pitches, int semitones, int fifths,
                   const Instrument& to, const Reach& reach) {
  double cost = 0;
  for (const SpelledPitch pitch : pitches) {
    const SpelledPitch moved = transposed(pitch, fifths, semitones);
    if (octaves_out(moved.midi(), to) != 0) cost += 1000;
    if (stops(to, moved, reach).empty()) cost += 100;
    cost += std::abs(moved.midi() - to.open(2).midi());
  }
  return cost;
}

// Of all octaves, the semitones nearest to what the fifths ask for.
int best_shift(const std::vector<SpelledPitch>& pitches, int fifths, const Instrument& to,
               std::string_view step) {
  const int within_octave = ((fifths * 7) % 12 + 12) % 12;
  int best = within_octave;
  double least = -1;
  for (int octave = -5; octave <= 5; ++octave) {
    const int semitones = within_octave + 12 * octave;
    const double cost = octave_cost(pitches, semitones, fifths, to, reach(to, step));
    if (least < 0 || cost < least) {
      least = cost;
      best = semitones;
    }
  }
  return best;
}

void set_identity(Part& part, const Instrument& to) {
  const Identity& identity = identities[static_cast<std::size_t>(to.kind)];
  part.name = identity.name;
  part.abbreviation.clear();
  part.instrument_sound = identity.sound;
  part.midi_program = identity.program;
  part.transpose = {};
  part.transpose.octave_change = -to.written_octave;
}

void set_clef_and_key(Part& part, const Instrument& to, int fifths) {
  for (Bar& bar : part.bars) {
    std::erase_if(bar.changes, [](const Change& c) {
      return c.kind == ChangeKind::clef || c.kind == ChangeKind::transposition;
    });
    std::erase_if(bar.directions, [](const Direction& d) {
      return d.kind == DirectionKind::octave_shift_start ||
             d.kind == DirectionKind::octave_shift_stop;
    });
    for (Change& change : bar.changes) {
      if (change.kind == ChangeKind::key) change.key.fifths += fifths;
    }
  }
  if (part.bars.empty()) return;
  Change clef;
  clef.kind = ChangeKind::clef;
  clef.clef = clef_of(to);
  part.bars.front().changes.insert(part.bars.front().changes.begin(), clef);
}

}  // namespace

Part part_for(const Part& part, std::string_view from, const Instrument& to, std::string_view step,
              int fifths) {
  Part moved = part;
  const Transposition before = sounding_transposition(part, from);
  std::vector<SpelledPitch> pitches;
  for_each_pitch(moved, [&](Note& note) { pitches.push_back(sounding(note.pitch, before)); });
  const int semitones = best_shift(pitches, fifths, to, step);
  set_identity(moved, to);
  for_each_pitch(moved, [&](Note& note) {
    SpelledPitch pitch = transposed(sounding(note.pitch, before), fifths, semitones);
    pitch.octave += octaves_out(pitch.midi(), to);
    note.pitch = written_pitch(pitch, moved.transpose);
    note.printed.fingers.clear();
    note.printed.string.reset();
    note.printed.open_string = note.printed.thumb = false;
  });
  set_clef_and_key(moved, to, fifths);
  return moved;
}

}  // namespace endpin
