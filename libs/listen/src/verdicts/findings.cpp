#include "endpin/listen/findings.h"

namespace endpin {

std::vector<Finding> findings(const Hearing&, const Timeline&, const FindingOptions&, int) {
  return {};
}

}  // namespace endpin
