#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "endpin/lesson/drill.h"
#include "endpin/study/study.h"

namespace endpin {

/// The study's spots as places to drill, heaviest first, a bar and trouble once. Where the study
/// found little, bars with notes that are to be held follow.
std::vector<DrillPlace> places_of(const Study& study, const Part& part);

/// Whether the two ask for the same practice: one trouble in one bar, or between one pair of twins.
bool same_practice(const DrillPlace& a, const DrillPlace& b);

/// Puts `place` behind the others unless one of them asks for the same practice.
void add_place(std::vector<DrillPlace>& places, const DrillPlace& place);

/// Index of the first bar that is printed with this number; nothing if there is none.
std::optional<int> bar_numbered(const Part& part, std::string_view number);

}  // namespace endpin
