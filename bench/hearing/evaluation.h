#pragma once

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/audio.h"
#include "endpin/hearing/hearing.h"
#include "endpin/simulator/faults.h"
#include "endpin/simulator/performance.h"
#include "endpin/simulator/sound.h"
#include "endpin/timeline/timeline.h"

#include "finding_matching.h"
#include "note_matching.h"
#include "table.h"
#include "truth.h"

/// The evaluation: takes with a known truth through the hearing, one section a file.
namespace endpin::evaluation {

struct Settings {
  std::filesystem::path recordings;  ///< empty: sections that need them are passed over
  std::filesystem::path cache;       ///< where sample packs and peers are installed
  std::filesystem::path keep;        ///< where simulated takes are written as sound; empty: nowhere
  std::filesystem::path rows;        ///< a CSV of each simulated note and its truth; empty: none
  std::filesystem::path reliability;  ///< a drawing of confidence against truth; empty: none
  bool fitting = false;  ///< synthetic voices below 100 alone: what thresholds are chosen on
  std::uint64_t seed = 1;
  std::vector<std::string> faults;  ///< the names of those to try, or parts of names of
                                    ///< surroundings or etudes; empty: all
  std::optional<int> takes;         ///< of each fault; empty: by `full`
  bool full = false;                ///< the numbers of takes that documentation is made from
  int count(int quick, int documented) const { return full ? documented : quick; }
  /// Whether what has just this name (a fault, a change of the score) is to be tried.
  bool try_exactly(std::string_view name) const {
    return faults.empty() || std::find(faults.begin(), faults.end(), name) != faults.end();
  }
  /// Whether what has this name (of a surrounding, of an etude) is to be tried: a part is enough.
  bool try_named(std::string_view name) const {
    return faults.empty() ||
           std::any_of(faults.begin(), faults.end(), [&](const std::string& word) {
             return name.find(word) != std::string_view::npos;
           });
  }
};

/// What a section found: figures, and in words where the hearing failed.
struct Report {
  std::vector<measures::Figure> figures;
  std::vector<std::string> failures;
  void add(measures::Figure figure) { figures.push_back(std::move(figure)); }
};

/// What lies between string and file.
enum class Condition {
  clean,
  room,
  phone_20,
  phone_10,
  hall,
  hall_10,
  pumping,   ///< gain control that is fast and strong, then clipping
  narrow,    ///< sampled at 8 kHz: nothing above 3.6 kHz
  hum,       ///< mains at 50 or 60 Hz with its harmonics
  handling,  ///< wind in the microphone and knocks on the stand
};
inline constexpr Condition all_conditions[] = {
    Condition::clean, Condition::room,    Condition::phone_20, Condition::phone_10,
    Condition::hall,  Condition::hall_10, Condition::pumping,  Condition::narrow,
    Condition::hum,   Condition::handling};
inline constexpr Condition bad_microphones[] = {Condition::pumping, Condition::narrow,
                                                Condition::hum, Condition::handling};
const char* name(Condition condition);
/// Rooms, noise, microphones and codecs of `condition`.
Audio through(Audio audio, Condition condition, std::uint64_t seed);

/// A simulated take.
struct Take {
  std::string name;
  Timeline timeline;
  simulator::Performance performance;
  Audio audio;
  Condition condition = Condition::clean;
};

struct TakeOptions {
  std::string instrument = "cello";
  simulator::Player player;
  Condition condition = Condition::clean;
  int bars = 8;
  bool repeat = false;
  bool recorded = true;  ///< recorded strings where there are some; else synthetic ones
  int lowest_midi = 0;
  int highest_midi = 127;
};

/// Makes takes; keeps the sounds. Synthetic voices from 100 on are the evaluation's own, those
/// below are left to whatever is fitted on simulated sound; the recorded strings are the
/// evaluation's.
class Studio {
 public:
  explicit Studio(const Settings& settings);
  ~Studio();
  Take take(const TakeOptions& options, std::uint64_t seed) const;
  /// With one fault; empty if none of a few tunes has a place for it.
  std::optional<Take> take_with(simulator::Fault fault, TakeOptions options,
                                std::uint64_t seed) const;
  /// A performance of a given timeline as sound.
  Take play(const Timeline& timeline, const simulator::Plan& plan, const TakeOptions& options,
            std::uint64_t seed) const;
  Timeline tune(const TakeOptions& options, std::uint64_t seed) const;
  const simulator::Sound& sound(const TakeOptions& options, std::uint64_t seed) const;
  bool has_recorded_strings() const;

 private:
  std::filesystem::path keep_;
  struct Sounds;
  std::unique_ptr<Sounds> sounds_;
};

/// The hearing of one timeline with its findings, and what it cost.
struct Heard {
  Hearing hearing;
  double cpu_s = 0;
};
Heard hear_take(const Timeline& timeline, const Audio& audio);
/// Sound and processor time of all calls so far.
struct Cost {
  double sound_s = 0;
  double cpu_s = 0;
  int takes = 0;
};
Cost cost_so_far();

// How true a hearing is of a performance.
std::vector<measures::SoundedNote> true_notes(const simulator::Performance& performance);
std::vector<measures::SoundedNote> heard_notes(const Hearing& hearing);
std::vector<measures::TrueNote> truth_by_index(const simulator::Performance& performance);
std::vector<measures::TrueFinding> true_findings(
    const std::vector<simulator::ExpectedFinding>& expected,
    const simulator::Performance& performance);
/// F of one take as a share, so that takes add up: twice the matched of all true and found.
measures::Share f_share(const std::vector<measures::SoundedNote>& truth,
                        const std::vector<measures::SoundedNote>& found,
                        const measures::MatchOptions& options = {});
/// Notes found of notes played, one element a take; pitch of each found note.
struct MatchTally {
  std::vector<measures::Share> onsets;        ///< F: 2 · matched of truth + found, at 50 ms
  std::vector<measures::Share> with_offsets;  ///< the same with offsets
  std::vector<double> cents;                  ///< errors of pitch, of each note found
};
void count_matched(const Take& take, const Hearing& hearing, MatchTally& tally);
/// Adds what was measured of each note and what was true of it to a CSV.
void append_rows(const std::filesystem::path& file, const Take& take, const Hearing& hearing);
/// Notes played right that were called wrong or missed, of those played right.
measures::Share accused(const Timeline& timeline, const simulator::Performance& performance,
                        const Hearing& hearing);
/// "flat [12 13] 0.93 “Bar 3 …”"
std::string in_words(const Finding& finding);
std::string in_words(const measures::TrueFinding& finding);
/// What was heard at notes `from`…`to`, for the list of failures.
std::string notes_in_words(const Timeline& timeline, const Hearing& hearing, int from, int to);

/// A recording with its score and its truth by people.
struct Recording {
  std::string name;
  Timeline timeline;
  Audio audio;
  std::vector<measures::TrueNote> truth;
};
Result<Recording> read_recording(const std::filesystem::path& folder);

// Sections.
Report recordings_section(const Settings& settings);
Report simulated_section(const Settings& settings, const Studio& studio);
Report confidence_section(const Settings& settings, const Studio& studio);
Report faults_section(const Settings& settings, const Studio& studio);
Report played_right_section(const Settings& settings, const Studio& studio);
Report own_play_along_section(const Settings& settings, const Studio& studio);
Report peers_section(const Settings& settings, const Studio& studio);
Report altered_section(const Settings& settings);
/// The same beneath simulated takes: with `fitting` what constants may be chosen on.
Report altered_simulated_section(const Settings& settings, const Studio& studio);
Report beside_section(const Settings& settings);
Report ensemble_section(const Settings& settings, const Studio& studio);
Report etudes_section(const Settings& settings, const Studio& studio);
Report surroundings_section(const Settings& settings, const Studio& studio);
Report microphones_section(const Settings& settings, const Studio& studio);
Report low_notes_section(const Settings& settings, const Studio& studio);
Report wrong_pieces_section(const Settings& settings, const Studio& studio);
Report live_section(const Settings& settings, const Studio& studio);
Report backing_section(const Settings& settings, const Studio& studio);
Report life_section(const Settings& settings, const Studio& studio);
Report budget_section(const Settings& settings, const Studio& studio);
Report ablation_section(const Settings& settings, const Studio& studio);
Report speed_section(const Settings& settings, const Studio& studio);
Report hour_section(const Settings& settings, const Studio& studio);

}  // namespace endpin::evaluation
