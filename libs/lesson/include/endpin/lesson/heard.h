#pragma once

#include <optional>
#include <vector>

#include "endpin/hearing/hearing.h"
#include "endpin/lesson/drill.h"
#include "endpin/score/score.h"

/// What was heard last decides what comes next.
namespace endpin {

/// What helps against a finding of this kind; nothing for those that are good, and for a string out
/// of tune, which no practice mends.
std::optional<Trouble> trouble_of(FindingKind kind);

/// The findings to work on as places to drill, in their order, a bar and trouble once. Bars that
/// the part does not have are passed over.
std::vector<DrillPlace> places_heard(const std::vector<Finding>& findings, const Part& part);

/// `first`, and then those of `second` that are not among them.
std::vector<DrillPlace> joined(std::vector<DrillPlace> first,
                               const std::vector<DrillPlace>& second);

}  // namespace endpin
