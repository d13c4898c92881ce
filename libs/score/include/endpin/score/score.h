#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/pitch.h"
#include "endpin/base/units.h"
#include "endpin/timeline/timeline.h"

/// The score as written: parts, bars, voices, notes. Places in a bar are exact Beats from the bar's
/// beginning. Nothing here is played order; `unfold` makes that.
namespace endpin {

/// Written values, longest first.
enum class NoteValue {
  maxima,
  longa,
  breve,
  whole,
  half,
  quarter,
  eighth,
  sixteenth,
  thirty_second,
  sixty_fourth,
  n128,
  n256,
  n512,
  n1024
};

/// What is written: a value, its dots, and the tuplet it stands in (actual notes in the time of
/// normal ones; nested tuplets multiplied).
struct WrittenDuration {
  NoteValue value = NoteValue::quarter;
  int dots = 0;
  int actual_notes = 1;
  int normal_notes = 1;
  /// In quarters.
  Beats beats() const;
  bool operator==(const WrittenDuration&) const = default;
};

enum class Bow { down, up };
/// Who set a marking. A teacher's outranks a printed one, which outranks a proposed one.
enum class Origin { printed, teacher, proposed };

/// Markings of technique on one note, as far as they are set.
struct NoteMarkings {
  std::optional<Bow> bow;
  std::vector<int> fingers;   ///< one for most notes; several for a substitution; thumb is 5
  std::optional<int> string;  ///< 1 is the highest
  bool open_string = false;
  bool thumb = false;
  bool operator==(const NoteMarkings&) const = default;
};

struct Tuplet {
  int actual = 3;
  int normal = 2;
  int number = 1;  ///< nesting level
  bool starts = false;
  bool stops = false;
  bool operator==(const Tuplet&) const = default;
};

/// The start or the end of a slur at a note; `number` pairs them inside a part, as in MusicXML.
struct SlurEnd {
  int number = 1;
  bool starts = false;
  bool operator==(const SlurEnd&) const = default;
};

enum class RestKind { none, rest, bar_rest };

/// Strokes through one stem, or strokes between the two notes of a pair.
enum class TremoloRole { single, pair_starts, pair_stops };

/// What a notehead of a harmonic shows: the place that is stopped, the place that is touched, or
/// what sounds.
enum class HarmonicPlace { unsaid, base, touching, sounding };

/// A note or a rest. Notes of a chord are separate and share `onset`, all but the first with
/// `in_chord`.
struct Note {
  std::string id;  ///< unique in the score and stable; made up if the file has none
  int line = 0;    ///< line in the file it came from; 0 unknown
  int voice = 1;   ///< 1, 2, … in the order of the part
  int staff = 1;
  Beats onset;                             ///< in the bar
  Beats duration;                          ///< 0 for grace notes
  std::optional<WrittenDuration> written;  ///< the note's look, where it is known
  std::vector<Tuplet> tuplets;             ///< brackets that start or stop here
  RestKind rest = RestKind::none;
  bool unpitched = false;
  SpelledPitch pitch;  ///< as written; the part's transposition makes it sound
  bool in_chord = false;
  bool grace = false;
  bool grace_slash = false;
  bool cue = false;
  bool tie_start = false;
  bool tie_stop = false;
  std::vector<SlurEnd> slurs;
  std::vector<Articulation> articulations;
  Ornament ornament = Ornament::none;
  int tremolo_marks = 0;
  TremoloRole tremolo_role = TremoloRole::single;
  bool harmonic = false;
  bool artificial_harmonic = false;
  HarmonicPlace harmonic_place = HarmonicPlace::unsaid;  ///< of a harmonic's notehead
  bool plucked = false;  ///< pizzicato in force or marked, left hand's too
  bool fermata = false;
  bool breath_after = false;
  NoteMarkings printed;
  std::vector<std::string> lyrics;  ///< one a verse
  bool is_rest() const { return rest != RestKind::none; }
  bool operator==(const Note&) const = default;
};

struct KeySignature {
  int fifths = 0;    ///< sharps, or flats below 0
  std::string mode;  ///< "major", "minor", "dorian", …; empty where not said
  bool operator==(const KeySignature&) const = default;
};

struct TimeSignature {
  int beats = 4;  ///< total of additive ones
  int beat_type = 4;
  bool common = false;  ///< drawn as C
  bool cut = false;     ///< drawn as C with a stroke
  bool senza_misura = false;
  std::vector<int> groups{};  ///< of an additive one, in `beat_type`s: 3 and 2 of (3+2)/8
  Beats bar_length() const { return Beats(4 * beats, beat_type); }
  bool operator==(const TimeSignature&) const = default;
};

enum class ClefSign { g, f, c, percussion, other };
struct Clef {
  ClefSign sign = ClefSign::g;
  int line = 2;
  int octave_change = 0;
  int staff = 1;
  bool operator==(const Clef&) const = default;
};

/// A metronome mark: `unit` (in quarters) `per_minute` times a minute.
struct Metronome {
  Beats unit{1};
  double per_minute = 0;
  Bpm quarters() const { return Bpm(per_minute * unit.to_double()); }
  bool operator==(const Metronome&) const = default;
};

enum class DirectionKind {
  words,
  tempo,
  dynamics,
  wedge_start_up,
  wedge_start_down,
  wedge_stop,
  pizzicato,
  arco,
  octave_shift_start,
  octave_shift_stop,
  rehearsal
};
/// Something written at a place that belongs to no single note.
struct Direction {
  DirectionKind kind = DirectionKind::words;
  Beats at;
  int staff = 1;
  std::string text;  ///< words, "mf", rehearsal mark
  std::optional<Metronome> metronome;
  std::optional<Bpm> sound_tempo;  ///< what the file says should sound
  int octave_shift = 0;            ///< octaves up that the notes sound from what is drawn
  bool operator==(const Direction&) const = default;
};

struct Transposition {
  int diatonic = 0;
  int chromatic = 0;  ///< semitones from written to sounding, without octave_change
  int octave_change = 0;
  int semitones() const { return chromatic + 12 * octave_change; }
  bool operator==(const Transposition&) const = default;
};

enum class ChangeKind { key, time, clef, transposition };
/// A key, metre, clef or transposition that comes into force at a place in the bar.
struct Change {
  ChangeKind kind = ChangeKind::key;
  Beats at;
  KeySignature key;
  TimeSignature time;
  Clef clef;
  Transposition transpose;
  bool operator==(const Change&) const = default;
};

enum class BarLine { regular, double_line, final_line, dashed, dotted, none, other };
/// Where playing may leave the order in which bars are written.
struct Navigation {
  bool repeat_start = false;
  bool repeat_end = false;
  int repeat_times = 2;            ///< how often in all, for repeat_end
  bool repeat_after_jump = false;  ///< taken after a D.C. or D.S. too
  std::vector<int> ending;         ///< numbers of the ending that this bar stands in; empty: none
  bool ending_starts = false;
  bool ending_stops = false;
  bool segno = false;
  bool coda = false;     ///< the coda begins here
  bool to_coda = false;  ///< leave for the coda at this bar's end, after the jump
  bool fine = false;
  bool da_capo = false;  ///< at this bar's end
  bool dal_segno = false;
  bool operator==(const Navigation&) const = default;
};

struct Bar {
  std::string number;  ///< as printed, "0" or "X1" for one outside the count
  int line = 0;
  bool implicit = false;        ///< a pickup, or half of a split bar
  Beats length;                 ///< what it really lasts; the signature's where it is full
  std::vector<Change> changes;  ///< ascending by place
  std::vector<Note> notes;      ///< ascending by onset, then voice, graces before their note
  std::vector<Direction> directions;
  Navigation navigation;
  BarLine right = BarLine::regular;
  int multi_rest = 0;      ///< this bar starts a rest drawn over so many
  int repeat_of_bars = 0;  ///< drawn as a repeat sign of the last n bars (notes filled in)
  bool new_system = false;
  bool operator==(const Bar&) const = default;
};

struct Part {
  std::string id;
  std::string name;
  std::string abbreviation;
  std::string instrument_sound;     ///< MusicXML's "strings.violin", or empty
  std::optional<int> midi_program;  ///< 1…128
  int staves = 1;
  Transposition transpose;  ///< at the beginning
  std::vector<Bar> bars;
  bool operator==(const Part&) const = default;
};

struct Warning {
  std::string place;  ///< "412" (a line), or "bar 17"
  std::string what;
  std::string remedy;
  bool operator==(const Warning&) const = default;
};

struct Score {
  std::string title;
  std::string composer;
  std::string rights;
  std::vector<Part> parts;
  std::vector<Warning> warnings;  ///< what reading found, that did not stop it
  bool notation_guessed = false;  ///< made from MIDI
  bool operator==(const Score&) const = default;
};

/// The signatures in force at the beginning of each bar of `part`, and the first clef.
struct Context {
  KeySignature key;
  TimeSignature time;
  Clef clef;
  Transposition transpose;
};
std::vector<Context> contexts(const Part& part);

/// The pitch that sounds where `written` stands in `part`, spelled.
SpelledPitch sounding(SpelledPitch written, const Transposition& transpose);

}  // namespace endpin
