#pragma once

#include <vector>

#include "endpin/score/score.h"

namespace endpin {

/// `[bar][note]`: the slur that a note stands under, numbered from 0 in written order, or -1. The
/// innermost where several are open; a note that ends one slur and begins another counts to the
/// first. A slur without an end, or over a single onset, is none.
using SlurTable = std::vector<std::vector<int>>;
SlurTable slur_table(const Part& part);

}  // namespace endpin
