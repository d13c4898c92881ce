#pragma once

#include <span>
#include <vector>

#include "endpin/listen/listen.h"

/// The score as the alignment sees it: one event for every moment at which notes begin.
namespace endpin::listen {

/// Notes that begin together, in one item.
struct Event {
  int item = 0;
  std::vector<int> notes;    ///< places in Hearing::notes
  std::vector<int> pitches;  ///< MIDI, ascending, each once
  std::vector<int> held;     ///< MIDI of earlier notes that still sound
  double onset_quarters = 0;
  double seconds = 0;           ///< to the item's next event, at the written tempo; > 0
  double sounding_seconds = 0;  ///< longest of its notes, at most `seconds`
  bool last = false;            ///< of its item
  bool first = false;           ///< of its item
  bool bar_start = false;
  bool after_rest = false;
  bool slurred = false;   ///< every note goes on in the bow stroke of the note before
  bool repeated = false;  ///< a pitch of the event before, in a new stroke
  bool plucked = false;
  bool ornamented = false;  ///< trills, grace notes before it
  bool fermata = false;
  bool open_to_play = true;  ///< inside the bars asked for
  int after_repeat = -1;     ///< event that follows in print where a repeat begins next; -1: none
  int pitch_set = 0;         ///< events with the same pitches and held ones share it
};

struct ScoreModel {
  std::vector<Event> events;            ///< items one after the other
  std::vector<int> pitch_set_examples;  ///< [pitch set]: an event that has it
  int lowest_midi = 127, highest_midi = 0;
  /// Below a violin's lowest string: the sound is looked at through a second, longer window.
  bool has_low_notes() const { return lowest_midi < 55; }
};

/// O(notes · voices).
ScoreModel score_model(std::span<const Timeline> items, const HearOptions& options);

}  // namespace endpin::listen
