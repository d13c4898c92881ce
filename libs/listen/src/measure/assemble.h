#pragma once

#include "endpin/hearing/hearing.h"

#include "measure/aligned.h"

namespace endpin::listen {

/// Fills notes, attempts, extras, restarts, segments and range of `hearing`, whose `notes`
/// hold the written ones. REQUIRES: as score_model numbered them.
void assemble(const Aligned& aligned, Hearing& hearing);

}  // namespace endpin::listen
