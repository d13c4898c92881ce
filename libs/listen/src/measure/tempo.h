#pragma once

#include <span>

#include "endpin/hearing/hearing.h"

#include "measure/aligned.h"

namespace endpin::listen {

/// Tempo as heard, its curve at bar lines, drift.
void assemble_tempo(const Aligned& aligned, std::span<const Timeline> items, Hearing& hearing);

}  // namespace endpin::listen
