#pragma once

#include <string>
#include <vector>

namespace endpin::measures {

/// What was claimed with a probability, and whether it was so.
struct Claim {
  double confidence = 0;  ///< 0…1
  bool right = false;
};

/// One row of a reliability diagram (DeGroot & Fienberg 1983).
struct ReliabilityBin {
  double from = 0;
  double to = 1;
  int claims = 0;
  double mean_confidence = 0;
  double right = 0;  ///< share that was so
};
std::vector<ReliabilityBin> reliability(const std::vector<Claim>& claims, int bins = 10);

/// Expected calibration error: the mean over claims of |mean confidence - share right| of their bin
/// (Naeini, Cooper & Hauskrecht 2015). 0 for no claims.
double calibration_error(const std::vector<ReliabilityBin>& bins);

/// The diagram as an SVG: what was claimed to the right, the share that was so upwards with its
/// 95 % interval (Wilson 1927), the claims of each bin as bars beneath.
std::string reliability_drawing(const std::vector<ReliabilityBin>& bins);

}  // namespace endpin::measures
