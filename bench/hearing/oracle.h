#pragma once

#include <optional>
#include <vector>

#include "endpin/hearing/hearing.h"
#include "endpin/simulator/performance.h"

#include "between_stages.h"
#include "truth.h"

/// What is true of a take, put between the stages of hearing in place of what they found.
namespace endpin::evaluation {

/// What the hearing is told, each with what stands before it.
enum class Told {
  nothing,  ///< as shipped
  run,      ///< which notes were played in which order, begun at the candidates nearest the truth
  onsets,   ///< when each began
  tones,    ///< what became of each note, its pitch, end and bowing, what was played besides
};
inline constexpr Told all_told[] = {Told::nothing, Told::run, Told::onsets, Told::tones};
const char* name(Told told);

/// A note that sounded.
struct Sounding {
  int index = -1;  ///< of the timeline; -1: the score does not tell it
  bool attempt = false;
  Seconds onset;
  Seconds offset;
  int midi = 60;
  std::optional<double> cents;  ///< of its mean, from `midi` with A4 at 440 Hz; empty: not known
  std::optional<bool> joined;   ///< in the bow of the note before it; empty: not known
};

/// All that is known to have been played.
struct Playing {
  std::vector<Sounding> notes;                   ///< ascending by onset
  std::vector<std::optional<NoteState>> states;  ///< [timeline note]; empty: not known
  std::vector<Restart> restarts;
};
Playing playing_of(const simulator::Performance& performance);
/// Of a recording that was played right.
Playing playing_of(const std::vector<measures::TrueNote>& truth, std::size_t timeline_notes);

/// One take's truth between the stages. Of several timelines only the first is known.
class Oracle : public listen::BetweenStages {
 public:
  Oracle(const Playing& playing, Told told) : playing_(playing), told_(told) {}

  /// With this oracle between the stages. It must live as long as they are used.
  listen::StagedOptions options();

  void path(const listen::ScoreModel& score, std::span<const listen::Candidate> at,
            listen::Path& path) override;
  void events(const listen::ScoreModel& score, const listen::Observations& seen,
              std::vector<listen::Fine>& events) override;
  void notes(const listen::Aligned& aligned, Hearing& hearing) override;

 private:
  const Playing& playing_;
  Told told_;
};

/// The run that was truly played, at its true times. A note left out alone is passed over, more of
/// them or going back is a jump.
listen::Path true_path(const listen::ScoreModel& score, const Playing& playing);

/// Events where `path` has them, without a search; ends are found from the sound.
std::vector<listen::Fine> as_placed(const listen::ScoreModel& score,
                                    const listen::Observations& seen, const listen::Path& path);

}  // namespace endpin::evaluation
