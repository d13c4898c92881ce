#pragma once

#include <string>
#include <vector>

#include "endpin/hearing/hearing.h"
#include "endpin/timeline/timeline.h"

/// Verdicts: what is worth saying about a hearing. Apart from the alignment, so that a doubt there
/// never turns into an accusation here.
namespace endpin {

struct FindingOptions {
  /// What the piece demands ("first-position", …); sets how strict the verdicts are. Unknown or
  /// empty: as for first position.
  std::string step;
};

/// Findings about `item` of `hearing`, in the order of their times; work and good ones. `says` is
/// the plain English sentence of `message_key`.
/// REQUIRES: `timeline` is that item's.
std::vector<Finding> findings(const Hearing& hearing, const Timeline& timeline,
                              const FindingOptions& options = {}, int item = 0);

}  // namespace endpin
