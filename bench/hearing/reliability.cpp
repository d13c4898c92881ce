#include "reliability.h"

#include <algorithm>
#include <cmath>

namespace endpin::measures {

std::vector<ReliabilityBin> reliability(const std::vector<Claim>& claims, int bins) {
  std::vector<ReliabilityBin> out(static_cast<std::size_t>(bins));
  for (int b = 0; b < bins; ++b) {
    out[static_cast<std::size_t>(b)].from = 1.0 * b / bins;
    out[static_cast<std::size_t>(b)].to = (b + 1.0) / bins;
  }
  for (const auto& claim : claims) {
    const int place = std::clamp(static_cast<int>(claim.confidence * bins), 0, bins - 1);
    auto& bin = out[static_cast<std::size_t>(place)];
    ++bin.claims;
    bin.mean_confidence += claim.confidence;
    bin.right += claim.right ? 1 : 0;
  }
  for (auto& bin : out) {
    if (bin.claims == 0) continue;
    bin.mean_confidence /= bin.claims;
    bin.right /= bin.claims;
  }
  return out;
}

double calibration_error(const std::vector<ReliabilityBin>& bins) {
  double sum = 0;
  int claims = 0;
  for (const auto& bin : bins) {
    sum += bin.claims * std::abs(bin.mean_confidence - bin.right);
    claims += bin.claims;
  }
  return claims > 0 ? sum / claims : 0;
}

}  // namespace endpin::measures
