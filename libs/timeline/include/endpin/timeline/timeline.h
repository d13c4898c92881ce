#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/pitch.h"
#include "endpin/base/result.h"
#include "endpin/timeline/tempo_map.h"

namespace endpin {

/// How a note is to be let go of or bitten, as far as it changes what sounds.
enum class Articulation {
  none,
  staccato,       ///< dot
  staccatissimo,  ///< wedge
  tenuto,         ///< line
  portato,        ///< dot and line, or dots under a slur
  marcato,        ///< strong accent
  accent,
  spiccato,
};

/// What makes the pitch of a note other than one steady tone.
enum class Ornament { none, trill, turn, mordent, tremolo, glissando };

/// One note in played order: repeats unfolded, ties joined, grace and cue notes left out.
struct TimelineNote {
  int index = 0;                 ///< its own place in Timeline::notes
  std::string id;                ///< of the written note (the first of a tie); shared by its passes
  std::string bar;               ///< printed number of its bar
  int pass = 1;                  ///< n-th time through that bar, from 1
  Beats onset;                   ///< played quarters from the beginning (the pickup starts at 0)
  Beats duration;                ///< played quarters, ties joined; above 0
  int midi = 60;                 ///< sounding pitch
  SpelledPitch spelled;          ///< sounding pitch, as written in the part's key
  std::optional<int> string;     ///< 1 is the highest string
  std::optional<int> finger;     ///< 0 open, 1 index … 4 little; thumb is 5
  bool open = false;             ///< an open string
  bool harmonic = false;         ///< natural or artificial
  bool plucked = false;          ///< pizzicato
  std::optional<int> stroke_id;  ///< notes of one bow stroke share it
  std::optional<int> slur_id;    ///< notes under one slur share it
  Articulation articulation = Articulation::none;
  Ornament ornament = Ornament::none;
  int graces_before = 0;        ///< grace notes played before it, outside the count
  bool fermata = false;         ///< its length is the player's
  std::optional<int> chord_id;  ///< notes that start together share it
  int voice = 1;                ///< 1 is the first voice of the part

  bool operator==(const TimelineNote&) const = default;
};

/// One played bar.
struct TimelineBar {
  std::string number;     ///< as printed
  int written_index = 0;  ///< its place in the part
  int pass = 1;
  Beats start;  ///< played quarters
  Beats length;
  int beats = 4;  ///< the time signature in force
  int beat_type = 4;
  bool operator==(const TimelineBar&) const = default;
};

/// A part as it is played. Plain data: notes ascending by onset, then pitch; unisons of two voices
/// each keep their own index.
struct Timeline {
  std::string title;
  std::string part;        ///< its name in the score
  std::string instrument;  ///< "violin", "viola", "cello", "bass"; or empty
  std::vector<TimelineNote> notes;
  std::vector<TimelineBar> bars;
  TempoMap tempo{Bpm(90)};
  bool tempo_is_given = false;  ///< the score has a tempo of its own
  Beats beat_unit{1};           ///< what the click counts, in quarters: 1, 1/2, 3/2, 2
  int fifths = 0;               ///< key signature at the beginning
  bool minor = false;

  /// Where the last bar or note ends.
  Beats end() const;
  bool operator==(const Timeline&) const = default;
};

/// `endpin.timeline/1`, documented in docs/schema/timeline.schema.json.
std::string to_json(const Timeline& timeline);
/// Reads what `to_json` writes; members that it does not know are passed over. Checks what the
/// other libraries rely on: ascending onsets, durations above 0, indices in place.
Result<Timeline> timeline_from_json(std::string_view json);

std::string_view name(Articulation articulation);
std::string_view name(Ornament ornament);

}  // namespace endpin
