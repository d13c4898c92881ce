#pragma once

#include "endpin/hearing/hearing.h"

namespace endpin::listen {

/// Means over the notes of each bar and pass that were heard, in the order of the notes.
void assemble_bars(Hearing& hearing);

}  // namespace endpin::listen
