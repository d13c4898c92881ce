#pragma once

#include "align/path.h"

namespace endpin::listen {

/// Takes out of a path what playing did not prove: a run after a jump with fewer than three notes
/// that are clearly there is a room or an open string ringing on, a try, a talk. What came before
/// it then lasts as long. The longest run always stays. O(frames).
void drop_doubtful_runs(const ScoreModel& score, const Observations& seen, Path& path);

}  // namespace endpin::listen
