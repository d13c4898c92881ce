#include "verdicts/time_findings.h"

namespace endpin::listen {

void add_time_findings(const TakeView& take, Findings& out) {
  TimeVerdicts verdicts(take, out);
  add_other_rhythm(verdicts);
  add_uneven(verdicts);
  add_displaced(verdicts);
  add_drift(verdicts);
}

}  // namespace endpin::listen
