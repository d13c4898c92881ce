#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/instrument/instrument.h"
#include "endpin/instrument/stops.h"
#include "endpin/score/score.h"
#include "endpin/technique/bowing.h"
#include "endpin/technique/fingering.h"
#include "endpin/technique/house_rules.h"
#include "endpin/timeline/timeline.h"
#include "endpin/words/sentence.h"

/// Fingerings and bowings of a part: printed ones kept, the teacher's above them, the rest proposed
/// with a reason.
namespace endpin {

/// What a teacher has decided about one written note; outranks what is printed.
struct TeacherMarking {
  std::string id;
  std::optional<int> string;
  std::optional<int> finger;
  std::optional<int> position;
  std::optional<Bow> bow;
  bool operator==(const TeacherMarking&) const = default;
};

/// The markings of one written note. A part that is not set could not be found.
struct NoteMarking {
  std::string id;
  std::string bar;              ///< printed number
  std::optional<int> string;    ///< 1 is the highest
  std::optional<int> finger;    ///< 0 open, thumb 5
  std::optional<int> position;  ///< number: half 0, first 1, …
  std::string position_key;     ///< "position.first"; empty where not known
  Extension extension = Extension::none;
  bool playable = true;   ///< false: no way to play it (with what sounds beside it)
  bool shift = false;     ///< the hand moves to reach it
  bool crossing = false;  ///< the bow goes to another string for it
  Origin string_origin = Origin::proposed;
  Origin finger_origin = Origin::proposed;
  Sentence fingering_reason;

  std::optional<Bow> bow;  ///< on the first note of each stroke
  bool bow_shown = false;  ///< worth printing: a beginning, or not as it comes
  StrokeLink link = StrokeLink::alternate;
  Origin bow_origin = Origin::proposed;
  Sentence bow_reason;
};

/// One bow stroke in played order.
struct Stroke {
  int id = 0;
  std::vector<int> notes;  ///< indices into Timeline::notes
  Bow bow = Bow::down;
  StrokeLink link = StrokeLink::alternate;
  BowSpan span;
};

/// Which way the bow goes at the first beat of a played bar.
struct Downbeat {
  std::string bar;  ///< printed number
  int pass = 1;
  int stroke = 0;  ///< `Stroke::id`
  Bow bow = Bow::down;
  bool continues = false;  ///< the stroke began before the bar line (a tie or a slur)
};

/// One way out of what a remark is about.
struct RemarkOption {
  Sentence says;
  std::vector<std::string> notes;  ///< ids of the notes that it changes
  std::optional<double> cost;      ///< of the bowing with it, up to where it settles, if weighed
  bool proposed = false;           ///< the markings are written so
};

/// Something about the bowing or a fingering that the teacher should know.
struct MarkingRemark {
  /// "contradiction"   two printed marks that strokes between them do not allow
  /// "unplayable"      notes that no hand reaches, or that do not go together
  /// "comes-out-up"    a first beat that as it comes would go up; what can be done, with costs
  /// "fast-bow"        a short note after a long one, whose bow must fly back
  /// "change"          a printed mark that is not as it comes
  /// "redundant-mark"  printed marks that say what comes anyway
  std::string kind;
  std::string bar;                 ///< the first that it is about
  std::vector<std::string> notes;  ///< ids
  Sentence says;
  std::vector<RemarkOption> options;
};

/// Another fingering of a passage: the second or third best that differs in what a player feels.
struct MarkingAlternative {
  struct Note {
    std::string id;
    std::optional<int> string;
    std::optional<int> finger;
    std::optional<int> position;
  };
  int rank = 2;
  std::string bar;  ///< of its first note
  std::vector<Note> notes;
  double cost = 0;  ///< more than what is proposed
  FingeringTrade trade;
  Sentence says;  ///< what it gains and what it gives up
};

struct Markings {
  std::string instrument;
  std::string step;
  std::vector<NoteMarking> notes;      ///< one a written note, in the order they are first played
  std::vector<Stroke> strokes;         ///< in played order, passes apart
  std::vector<Downbeat> downbeats;     ///< of every played bar that begins under a bow
  std::vector<MarkingRemark> remarks;  ///< the most useful first
  std::vector<MarkingAlternative> alternatives;  ///< only if they were asked for
  double fingering_cost = 0;

  const NoteMarking* find(std::string_view id) const;
};

struct MarkingOptions {
  std::string step;  ///< limits the hand; empty: guessed from the notes
  std::vector<TeacherMarking> teacher;
  std::vector<HouseRule> rules;
  std::optional<FingeringCosts> fingering_costs;  ///< default: the instrument's
  BowingCosts bowing_costs;
  bool alternatives = false;  ///< other fingerings too; costs about five times the time
};

/// Markings of part `part`, of which `timeline` is the played order. Linear in the notes.
Markings mark(const Score& score, int part, const Timeline& timeline, const Instrument& instrument,
              const MarkingOptions& options = {});

/// The smallest reach that holds every note of `timeline`, for pieces that look like a beginner's;
/// the whole instrument for others. A step's id.
std::string guess_step(const Timeline& timeline, const Instrument& instrument);

/// Ids of the notes before which the bow is taken again, each once.
std::vector<std::string> retaken_notes(const Markings& markings);

/// Copies string, finger, open and stroke_id into the timeline.
void apply(const Markings& markings, Timeline& timeline);

/// `endpin.markings/1`, documented in docs/schema/markings.schema.json. Sentences are given as key,
/// arguments, and said in `language`.
std::string to_json(const Markings& markings, Language language = Language::en_us);

std::string_view name(Origin origin);
std::string_view name(Bow bow);
std::string_view name(StrokeLink link);
std::string_view name(Extension extension);

}  // namespace endpin
