#pragma once

#include <optional>
#include <vector>

#include "endpin/hearing/hearing.h"

#include "measure/aligned.h"
#include "measure/tone.h"

namespace endpin::listen {

/// What became of a note whose place is known. In doubt: uncertain.
class NoteJudge {
 public:
  explicit NoteJudge(const Aligned& aligned) : a_(aligned), places_(aligned.events.size()) {}

  /// `tone`: what was measured of `midi` in the place of the `i`-th event. O(1) but for wrong
  /// notes, whose neighbours are measured as well.
  NoteState judge(std::size_t i, int midi, const Tone& tone) const;
  /// Heard, though some other tone stands out through most of it: others play as well.
  static bool another_leads(const Tone& tone);
  /// The written pitch explains what sounds better than any other does.
  static bool stands_out(const Tone& tone);
  /// The note's place was kept, but nothing of it sounded between its neighbours.
  bool nothing_there(std::size_t i, int midi) const;
  /// Nothing of an event that was left out, or whose place is empty, sounds between two times,
  /// which hold its neighbours; or what does rings on, for nothing of it begins in its place.
  bool is_absent(std::size_t i, double from_s, double to_s, double written_s) const;
  /// The pitch stands for half of `length_s` or longer somewhere between two times, whatever else
  /// does: what cannot be told from a note is none that is missed.
  bool may_sound(int midi, double from_s, double to_s, double length_s) const;
  /// The pitch grows somewhere between two times: what only rings on does not.
  bool begins_between(int midi, double from_s, double to_s) const;
  /// Pitches of the events before and after the `i`-th.
  std::vector<int> nearby(std::size_t i) const;
  /// What may lie between a note and the nearest that are clearly there.
  enum class Between { silence, silence_or_others };
  /// The events before and after are clearly there, or playing began or ended here. Neighbours in
  /// whose place it is silent, or where asked another tone plainly stands, are passed over: a few
  /// bars of them at most.
  bool neighbours_found(std::size_t i, Between may_lie_between = Between::silence) const;
  /// How like the note it is, 0…1: a rank, of which `calibrated` makes a probability.
  static double likeness(const Fine& fine, int midi, const Tone& tone);

 private:
  const Event& event(std::size_t i) const { return a_.event(i); }
  /// What fills an event's place.
  struct Place {
    bool found = false;   ///< the event's own notes
    bool silent = false;  ///< nothing
    int another = -1;     ///< MIDI of another tone that plainly stands there; -1: none
  };
  const Place& place(std::size_t i) const;
  Place look_at(std::size_t i) const;
  bool is_moved_row(std::size_t i, int rival) const;
  bool is_another(std::size_t i, const Tone& tone) const;
  bool is_wrong(std::size_t i, const Tone& tone) const;
  bool sounds_in_chord(std::size_t i, int midi) const;
  double softer_db(std::size_t i, double share) const;
  bool only_noise(std::size_t i, int midi) const;
  bool begins(std::size_t i) const;
  bool is_struck(std::size_t i) const;
  bool has(std::size_t i, int midi) const;
  /// Playing begins, or ends, with it: no neighbour on that side.
  bool starts(std::size_t i) const { return i == 0 || a_.events[i].jumped_to; }
  bool ends(std::size_t i) const { return i + 1 >= a_.events.size() || starts(i + 1); }
  bool follows(std::size_t i, int midi) const;
  bool rings_on(std::size_t i, int rival) const;
  bool onset_is_clear(std::size_t i) const;

  const Aligned& a_;
  mutable std::vector<std::optional<Place>> places_;  ///< of those that were asked for
};

}  // namespace endpin::listen
