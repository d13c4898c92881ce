#pragma once

#include <vector>

#include "endpin/score/score.h"

namespace endpin::notation {

/// A coda sign that does not say which of its two meanings it has.
struct CodaSign {
  std::size_t bar = 0;
  Beats at;
};

/// The last of several signs is where the coda begins, those before it send there; one at a bar's
/// very beginning sends from the bar before.
void resolve_coda_signs(Part& part, const std::vector<CodaSign>& signs);

}  // namespace endpin::notation
