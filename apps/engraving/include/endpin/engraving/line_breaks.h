#pragma once

#include "endpin/score/score.h"

namespace endpin::app {

/// About how wide a bar wants to be, in staff spaces.
double natural_width(const Bar& bar);

/// The width of all bars with the clef and signatures before them, in staff spaces.
double natural_width(const Part& part);

/// Sets where systems begin so that lines are evenly filled, phrases of four bars stay together
/// where they can, and no lonely bar is left on the last line. `line` is a system's width in staff
/// spaces. Least total cost over all ways to break; O(bars · bars in a line).
void set_line_breaks(Part& part, double line);

}  // namespace endpin::app
