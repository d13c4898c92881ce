#pragma once

#include <span>
#include <vector>

#include "endpin/hearing/hearing.h"

#include "align/fine_path.h"

namespace endpin::listen {

/// Everything that was found out before the notes are judged.
struct Aligned {
  const ScoreModel& score;
  const Observations& seen;
  std::vector<Fine> events;  ///< in the order of time
  std::span<const float> onset_evidence;
  double shift_cents = 0;  ///< A4 above 440 Hz
};

/// Fills notes, attempts, extras, restarts, segments, range and bars of `hearing`, whose `notes`
/// hold the written ones. REQUIRES: as score_model numbered them.
void assemble(const Aligned& aligned, Hearing& hearing);

/// Tempo as heard, its curve at bar lines, drift.
void assemble_tempo(const Aligned& aligned, std::span<const Timeline> items, Hearing& hearing);

}  // namespace endpin::listen
