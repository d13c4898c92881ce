#pragma once

#include <string>
#include <vector>

#include "endpin/study/study.h"

#include "bars.h"

/// The parts of a study, each from the timeline.
namespace endpin::study_internal {

Metre metre(const Timeline& timeline);
std::vector<ValueUse> values(const Score& score, int part, const Timeline& timeline);
std::optional<Range> range(const Timeline& timeline, const Instrument& instrument);
std::vector<AlteredNote> altered_notes(const Timeline& timeline, const Instrument& instrument,
                                       std::optional<double> string_length_mm);
std::vector<TwinBars> twin_bars(const std::vector<WrittenBar>& bars);
std::vector<Spot> spots(const Timeline& timeline, const std::vector<WrittenBar>& bars,
                        const Instrument& instrument, const StudyOptions& options,
                        const Study& so_far);
StepDemand step_demand(const Timeline& timeline, const Instrument& instrument,
                       const StudyOptions& options);

/// Adds `bar` if it is not the last already.
void add_once(std::vector<std::string>& list, const std::string& item);
/// "F#" of F♯3.
std::string letter(const SpelledPitch& pitch);

}  // namespace endpin::study_internal
