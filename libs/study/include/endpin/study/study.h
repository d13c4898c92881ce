#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/pitch.h"
#include "endpin/instrument/instrument.h"
#include "endpin/instrument/stops.h"
#include "endpin/score/score.h"
#include "endpin/study/counting.h"
#include "endpin/study/form.h"
#include "endpin/study/key.h"
#include "endpin/study/tempo.h"
#include "endpin/timeline/timeline.h"
#include "endpin/words/sentence.h"

/// What a good teacher sees when reading a piece, as plain data.
namespace endpin {

struct Metre {
  int beats = 4;
  int beat_type = 4;
  Beats beat_unit{1};     ///< what the click counts, in quarters
  bool compound = false;  ///< beats of three
  Beats pickup;           ///< length of the pickup, 0 if there is none
  bool changes = false;   ///< another metre comes later
};

/// A written value that occurs.
struct ValueUse {
  Beats quarters;   ///< sounding length
  std::string key;  ///< of the catalogue, "duration.half"; empty where no single value fits
  int notes = 0;
  int rests = 0;
  Beats clicks;  ///< quarters / beat unit: 2 is held for two clicks, 1/2 two notes a click
};

struct Range {
  SpelledPitch lowest;
  SpelledPitch highest;
  /// Notes that no hand plays on this instrument, lowest first, each once.
  std::vector<SpelledPitch> outside;
};

/// A sharp or flat (or a natural against the signature) of the piece, and where it lies.
struct AlteredNote {
  SpelledPitch pitch;  ///< sounding, in the octave where it occurs
  int count = 0;
  bool in_signature = true;        ///< false: an accidental
  std::vector<std::string> bars;   ///< printed numbers, in order, each once
  std::vector<std::string> notes;  ///< ids
  std::optional<int> string;
  std::optional<int> finger;
  FingerShape shape = FingerShape::plain;
  std::string position_key;           ///< "position.first"
  std::optional<double> from_nut_mm;  ///< only where the string's length is known
  Sentence where;                     ///< "high 2 on D"; empty where no hand plays it
};

/// Two bars that are taken for each other.
struct TwinBars {
  std::string earlier;  ///< printed number
  std::string later;
  bool rhythm_differs = false;
  bool pitch_differs = false;
  Beats at;                        ///< of the first difference in the bar, in quarters
  int beat = 1;                    ///< the beat it falls in
  std::vector<std::string> notes;  ///< ids in the later bar that differ
  double likeness = 0;             ///< 0 … 1, 1 would be the same bar
  Sentence difference;
};

/// A place that will need work.
struct Spot {
  std::string kind;                ///< as in spot_weights.def: "shift", "twin-bar", …
  std::string bar;                 ///< printed number
  std::vector<std::string> notes;  ///< ids
  Sentence reason;
  double weight = 0;  ///< the kind's weight times `measure`
  double measure = 1;
};

/// What the piece demands, by name.
struct StepDemand {
  std::string step;  ///< "first-position"
  /// What fixed it: every demand of that step, with its bars.
  struct Reason {
    Sentence says;
    std::vector<std::string> bars;
    std::vector<std::string> notes;
  };
  std::vector<Reason> reasons;
};

struct Study {
  std::string title;
  std::string instrument;
  KeyFinding key;
  Metre metre;
  std::vector<ValueUse> values;  ///< longest first
  Counting counting;
  Form form;
  std::optional<Range> range;
  std::vector<AlteredNote> altered;  ///< most frequent first; the signature's before accidentals
  std::vector<TwinBars> twins;       ///< most easily confused first
  std::vector<Spot> spots;           ///< heaviest first
  StepDemand step;
  TempoPlan tempo;
  int bars = 0;                   ///< written
  int notes = 0;                  ///< played
  std::vector<Warning> warnings;  ///< what to check in the file, as its reader found it
};

struct StudyOptions {
  std::string step;                        ///< the teacher's word for the step; empty: as found
  std::optional<double> string_length_mm;  ///< measured; or by `size`
  std::string size;                        ///< "3/4"; empty: not known, so no distances are given
  std::string counting;                    ///< a `CountingScheme`'s id; empty: numbers
  std::vector<std::string> retakes;        ///< ids of notes before which the bow is taken again
  std::vector<std::string> step_order;  ///< the teacher's order of steps; empty: the instrument's
};

/// Reads part `part` of `score`, played as `timeline`. Strings and fingers in the timeline (see
/// `apply` in technique/markings.h) make shifts, crossings and extensions visible; without them
/// those spots are missing, and altered notes are placed where a player learns them first. Linear
/// in the notes.
Study study(const Score& score, int part, const Timeline& timeline, const Instrument& instrument,
            const StudyOptions& options = {});

/// `endpin.study/1`, documented in docs/schema/study.schema.json.
std::string to_json(const Study& study, Language language = Language::en_us);

/// A colleague's notes: the most useful first, at most `most_lines` lines.
std::string describe(const Study& study, Language language = Language::en_us, int most_lines = 24);

}  // namespace endpin
