#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/result.h"
#include "endpin/base/units.h"

/// What was measured in one recording: plain data, the contract `endpin.hearing/1`. Times are
/// seconds of the recording; what is unknown is an empty optional (JSON null), never 0.
namespace endpin {

enum class HearingStatus { ok, wrong_piece, no_music, too_short, uncertain };
enum class NoteState {
  heard,
  wrong,        ///< a stable other pitch in its place
  missed,       ///< inside the range, both neighbours found, nothing in its place
  not_reached,  ///< outside the range that was played
  uncertain,    ///< could not be told
};
enum class SegmentKind { playing, tuning, talk, count_in, silence, other };

/// Kinds of finding; those from held_full on are good ones.
enum class FindingKind {
  missed,
  wrong_note,
  missed_accidental,
  extra,
  restart,
  hesitation,
  early,
  late,
  uneven,
  rushing,
  dragging,
  short_held,
  not_separated,
  gap_in_slur,
  slur_not_played,
  other_bar_rhythm,
  flat,
  sharp,
  string_out_of_tune,
  held_full,
  separated,
  in_tune,
  steady,
  clean_bar,
  clean_at_tempo,
};
enum class Tone { work, good };

struct Vibrato {
  double rate_hz = 0;
  Cents extent;  ///< peak to peak
};

/// What sounded in a note's place.
struct HeardNote {
  Seconds onset;
  std::optional<Seconds> onset_uncertainty;  ///< standard error
  std::optional<Seconds> offset;
  std::optional<Seconds> offset_uncertainty;  ///< standard error
  int midi = 60;                              ///< what sounded, nearest semitone at the reference
  std::optional<Cents> intonation;            ///< from the written note; empty for a wrong note
  std::optional<Cents> uncertainty;           ///< standard error of `intonation`
  std::optional<double> deviation_ms;         ///< against the local beat; positive is late
  std::optional<double> deviation_uncertainty_ms;
  std::optional<double> sounding_ratio;  ///< sounding over written time at the local tempo
  std::optional<double> sounding_ratio_uncertainty;
  std::optional<Seconds> gap;     ///< to the next onset; negative rings on
  std::optional<Decibels> level;  ///< dBFS
  std::optional<Vibrato> vibrato;
  std::optional<Decibels> dip;   ///< how far the level sinks just before the onset
  std::optional<Decibels> fall;  ///< how far the tone has sunk shortly before the next onset
  std::optional<double> attack;  ///< log likelihood ratio of a new stroke at the onset
  double confidence = 0;         ///< calibrated probability that this is the note
};

struct Span {
  Seconds from;
  Seconds to;
};

/// One note of the timeline and what became of it; in the timeline's order.
struct NoteHearing {
  int item = 0;   ///< which of several timelines
  int index = 0;  ///< in that timeline
  std::string id;
  std::string bar;
  int pass = 1;
  Beats onset;
  Beats duration;
  int midi = 60;  ///< written, as sounding pitch
  NoteState state = NoteState::not_reached;
  std::optional<HeardNote> heard;
  std::vector<Span> attempts;  ///< earlier tries, before a restart
};

struct ExtraNote {
  Seconds onset;
  Seconds offset;
  int midi = 60;
  int after_index = -1;  ///< -1: before the first note
  int item = 0;          ///< which of several timelines
};

struct Restart {
  Seconds time;
  int from_index = 0;  ///< the last note before it
  int to_index = 0;    ///< where playing went on
  int item = 0;        ///< which of several timelines
};

struct BarHearing {
  std::string bar;
  int pass = 1;
  std::optional<Cents> intonation;
  std::optional<double> deviation_ms;
  std::optional<double> sounding_ratio;
  int item = 0;  ///< which of several timelines
};

struct Segment {
  SegmentKind kind = SegmentKind::playing;
  int item = 0;  ///< which of several timelines
  Seconds from;
  Seconds to;
  std::optional<int> from_index;
  std::optional<int> to_index;
};

struct StringTuning {
  std::string string;  ///< "A"
  Cents intonation;
  Cents uncertainty;
  int notes = 0;
};

/// A value in a finding's message or evidence.
using Fact = std::variant<double, std::string, std::vector<std::string>>;
using Facts = std::map<std::string, Fact>;

/// One thing to say about a take.
struct Finding {
  std::string id;
  FindingKind kind = FindingKind::held_full;
  Seconds from;
  Seconds to;
  std::vector<std::string> bars;
  std::vector<int> notes;   ///< indices into the timeline
  std::string message_key;  ///< in the catalogue of sentences
  Facts message_args;
  std::string says;  ///< the sentence in the language asked for
  Facts evidence;    ///< figures
  double confidence = 0;
};

struct TempoHearing {
  std::optional<double> bpm;              ///< beats a minute in `beat_unit`
  std::optional<double> bpm_uncertainty;  ///< standard error
  Beats beat_unit{1};                     ///< in quarters
  std::optional<double> clean_bpm;        ///< fastest tempo at which bars were clean
  std::optional<double> drift_percent;    ///< end against beginning; positive is faster
  struct Point {
    double score_quarters = 0;
    double bpm = 0;
  };
  std::vector<Point> curve;
};

struct Hearing {
  HearingStatus status = HearingStatus::uncertain;
  std::string engine_version;
  struct {
    std::string sha256;  ///< empty: unknown
    std::string part;
    std::string instrument;
  } score;
  struct {
    Seconds length;
    double sample_rate_hz = 0;
    std::string sha256;  ///< empty: unknown
  } recording;
  struct {
    std::optional<Hertz> a4;
    std::optional<Cents> a4_uncertainty;  ///< standard error; empty where it was given
    bool a4_given = false;
    bool beat_from_click = false;
    /// The whole take sounded that many octaves above the written notes. Pitches of the hearing
    /// are given as if it had not.
    int octaves = 0;
  } reference;
  std::optional<Seconds> backing_at;  ///< where the given backing starts; empty: none
  std::vector<StringTuning> strings;
  TempoHearing tempo;
  std::optional<int> range_from;
  std::optional<int> range_to;  ///< inclusive
  std::vector<Segment> segments;
  std::vector<NoteHearing> notes;
  std::vector<ExtraNote> extra;
  std::vector<Restart> restarts;
  std::vector<BarHearing> bars;
  std::vector<Finding> findings;
};

/// `endpin.hearing/1`, documented in docs/schema/hearing.schema.json. Times are written to 0.1 ms,
/// cents, milliseconds and decibels to 0.1, ratios to 0.001.
std::string to_json(const Hearing& hearing);
/// Reads what `to_json` writes; members that it does not know are passed over.
Result<Hearing> hearing_from_json(std::string_view json);

Tone tone(FindingKind kind);
/// The contract's word: "short-held".
std::string_view name(FindingKind kind);
std::string_view name(NoteState state);
std::string_view name(HearingStatus status);
std::string_view name(SegmentKind kind);
/// The kind with that name.
std::optional<FindingKind> finding_kind(std::string_view name);
std::optional<NoteState> note_state(std::string_view name);
std::optional<HearingStatus> hearing_status(std::string_view name);
std::optional<SegmentKind> segment_kind(std::string_view name);

}  // namespace endpin
