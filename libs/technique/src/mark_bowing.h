#pragma once

#include "settled.h"

namespace endpin::technique {

/// Adds directions, strokes, downbeats and remarks on the bowing to `result`, whose notes are
/// there.
void add_bowing(Markings& result, const Part& part, const Timeline& timeline,
                const SettledById& all, const BowingCosts& costs);

}  // namespace endpin::technique
