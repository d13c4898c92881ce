#pragma once

#include <vector>

#include "endpin/lesson/drill.h"
#include "endpin/study/study.h"

namespace endpin {

/// The study's spots as places to drill, heaviest first, a bar and trouble once. Where the study
/// found little, bars with notes that are to be held follow.
std::vector<DrillPlace> places_of(const Study& study, const Part& part);

}  // namespace endpin
