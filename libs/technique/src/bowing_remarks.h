#pragma once

#include <string>
#include <vector>

#include "settled.h"
#include "strokes.h"

namespace endpin::technique {

/// Adds a note in `bar` to a remark whose sentence has the argument "bars".
void add_place(MarkingRemark& remark, const std::string& bar, const std::string& note);

/// Printed bow marks that contradict each other, change what comes, or say what comes anyway.
std::vector<MarkingRemark> remarks_on_printed_bows(const BowedLine& line, const SettledById& all,
                                                   const BowingCosts& costs);
/// First beats that as it comes would go up, with what can be done about each and at what cost.
/// Places of one rhythm with one proposal are one remark.
std::vector<MarkingRemark> remarks_on_downbeats(const BowedLine& line, const BowingCosts& costs);
/// Short notes whose bow must fly back after a long one.
std::vector<MarkingRemark> remarks_on_fast_bows(const BowedLine& line);

}  // namespace endpin::technique
