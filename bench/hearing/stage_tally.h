#pragma once

#include <functional>
#include <string>
#include <vector>

#include "between_stages.h"
#include "evaluation.h"
#include "oracle.h"

/// What a hearing with something put between its stages got right, beside what another did on the
/// same take.
namespace endpin::evaluation {

/// `hear_take` with something put between the stages. The cost is not counted.
Hearing hear_staged_take(const Timeline& timeline, const Audio& audio,
                         const listen::StagedOptions& options);

/// One element a take in each; two hearings of the same takes can be compared take by take.
struct StageTally : MatchTally {
  std::vector<measures::Share> rests, slurs, repeats;  ///< onsets within 50 ms: after a rest, …
  std::vector<measures::Share> ends;                   ///< of the notes found, offsets that hold
  std::vector<measures::Share> accused;  ///< of the notes played right, called wrong or missed
  std::vector<measures::Share> falsely;  ///< takes with a false finding
  std::vector<measures::Share> precision, recall;  ///< of findings
};
void count_stage(const Take& take, const Hearing& hearing, StageTally& tally);
/// Of a recording that was played right: a note is a unit. `tolerance`: of onsets.
void count_stage(const Recording& recording, Seconds tolerance, const Hearing& hearing,
                 StageTally& tally);

/// The takes on which stages are compared: right playing under several conditions and beside
/// others, and every fault, `of` each; `use` is called with the name of the group.
void each_stage_take(const Settings& settings, const Studio& studio, int of,
                     const std::function<void(const std::string&, const Take&)>& use);

using TallyPart = std::vector<measures::Share> StageTally::*;
/// A proportion that stages are compared by.
struct Compared {
  const char* what;
  TallyPart part;
  const char* of;
};
inline constexpr Compared compared[] = {
    {"onset F at 50 ms", &StageTally::onsets, "notes×2"},
    {"after a rest within 50 ms", &StageTally::rests, "notes"},
    {"inside a slur within 50 ms", &StageTally::slurs, "notes"},
    {"repeated pitch within 50 ms", &StageTally::repeats, "notes"},
    {"F with offsets", &StageTally::with_offsets, "notes×2"},
    {"ends that hold", &StageTally::ends, "notes"},
    {"notes accused", &StageTally::accused, "notes"},
    {"takes with a false finding", &StageTally::falsely, "takes"},
    {"findings: precision", &StageTally::precision, "said"},
    {"findings: recall", &StageTally::recall, "true"},
};

/// All proportions of a tally that have cases, and the median error of pitch.
void add_stage_figures(const std::string& on, const StageTally& tally, const Settings& settings,
                       Report& report);
/// By how much a proportion is greater in `changed` than in `base`, the same takes heard twice; the
/// interval is that of the difference, drawn over takes.
measures::Figure difference_figure(std::string on, const Compared& by, const StageTally& base,
                                   const StageTally& changed, std::uint64_t seed);

}  // namespace endpin::evaluation
