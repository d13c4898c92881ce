#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "endpin/score/score.h"

#include "abc_decorations.h"
#include "abc_fields.h"
#include "coda_signs.h"
#include "grid.h"
#include "messages.h"

namespace endpin::notation {

/// A bar line of ABC, read: "|", ":|", "|]", "::", "|1" and so on.
struct AbcBarLine {
  BarLine style = BarLine::regular;
  int repeats_end = 0;  ///< colons before the line: 1 is a repeat, 2 one for three times in all
  bool repeat_starts = false;
  std::vector<int> ending;  ///< numbers of the ending that opens
  bool closes_ending = false;
};

/// How far an accidental reaches (ABC 2.1, section 11.3).
enum class AccidentalReach { none, octave, all_octaves };

/// What all voices of a tune share.
struct AbcShared {
  Messages& messages;
  Grid& grid;
  AccidentalReach reach = AccidentalReach::all_octaves;
  std::size_t notes = 0;
  std::size_t bars = 0;
  int line = 0;
};

/// Takes what the music lines of one voice say, in order, and makes its bars.
class AbcVoice {
 public:
  AbcVoice(std::string id, AbcShared& shared) : shared_(shared) { part_.id = std::move(id); }

  // Signatures and properties.
  void set_key(const AbcKey& key);
  void set_time(const TimeSignature& time);
  void set_unit(Beats unit) { unit_ = unit; }
  void set_properties(const AbcProperties& properties);
  void set_program(int program) { part_.midi_program = program; }
  Beats unit() const { return unit_; }
  const TimeSignature& time() const { return time_; }

  // What goes before a note.
  void decorate(std::string_view name);
  void open_slur() { ++slurs_to_open_; }
  void start_tuplet(int actual, int normal, int notes);
  void start_graces(bool slash);
  void end_graces() { in_graces_ = false; }

  // Events. `length` counts the unit length.
  void note(SpelledPitch pitch, std::optional<int> accidental, Beats length);
  void start_chord() { in_chord_ = true, chord_.clear(); }
  void end_chord(Beats factor);
  void rest(Beats length);
  void bar_rests(int count);
  bool in_chord() const { return in_chord_; }

  // What goes after one.
  void close_slur();
  void tie();
  /// `marks` above 0 for A>B, below 0 for A<B.
  void broken(int marks) { broken_ = marks; }
  void overlay();

  void bar_line(const AbcBarLine& line);
  void open_ending(const std::vector<int>& numbers);
  void add(Direction direction);
  /// The syllables under the notes since the last music line; "-" at the end of one that goes on.
  void start_line();
  void lyrics(std::string_view text, int verse);

  /// Closes the last bar. REQUIRES: called once, at the end.
  Part finish();
  std::size_t bar_count() const { return part_.bars.size(); }
  bool has_notes() const { return any_note_; }
  bool in_bar() const { return filled_; }

 private:
  void set_transposition(int semitones);
  struct Place {
    std::size_t bar;
    std::size_t note;
  };

  int alter_for(SpelledPitch pitch, std::optional<int> accidental);
  Note made_note();
  void place(std::vector<Note> notes, Beats length);
  Beats broken_factor();
  std::optional<Beats> take_tuplet(std::vector<Note>& notes);
  void change(Change change);
  void close_bar(BarLine style);
  void apply_line_to_closed_bar(const AbcBarLine& line);
  void connect_slurs(Note& note);

  AbcShared& shared_;
  Part part_;
  Bar bar_;              // the one that is open
  bool filled_ = false;  // it has notes or rests
  bool any_note_ = false;
  Beats at_;
  Beats reached_;
  AbcKey key_;
  TimeSignature time_;
  Beats unit_{1, 2};
  int octave_ = 0;                  // moves every pitch
  int clef_octave_ = 0;             // so does the clef's 8 (ABC 2.1, 4.6)
  std::map<int, int> accidentals_;  // in this bar, by staff step or pitch class
  std::map<int, int> tied_;         // staff step → alter, from the note before
  Note waiting_;                    // decorations for the note to come
  std::vector<Note> chord_;
  std::vector<Note> graces_;
  bool in_chord_ = false;
  Beats chord_length_;
  bool in_graces_ = false;
  bool slash_ = false;
  int slurs_to_open_ = 0;
  int open_slurs_ = 0;
  int tuplet_actual_ = 0;
  int tuplet_normal_ = 0;
  int tuplet_left_ = 0;
  bool tuplet_begins_ = false;
  int broken_ = 0;                    // marks since the last event
  std::optional<Beats> next_factor_;  // what broken rhythm does to the event to come
  std::pair<std::size_t, std::size_t> last_event_{0, 0};  // notes of the open bar [first, end)
  Beats last_length_;                                     // of the last event, before its tuplet
  int overlay_ = 0;
  std::vector<int> ending_;
  bool ending_opens_ = false;
  std::vector<CodaSign> coda_signs_;
  std::vector<Place> line_notes_;  // for lyrics
  bool plucked_ = false;           // pizzicato is in force
};

}  // namespace endpin::notation
