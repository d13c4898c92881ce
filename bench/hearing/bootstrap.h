#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <vector>

namespace endpin::measures {

struct Interval {
  double low = 0;
  double high = 0;
};

/// Percentile bootstrap (Efron 1979): the central 95 % of `statistic` over `rounds` resamplings of
/// `units` independent units, drawn with replacement. Units are takes where notes of a take hang
/// together. Same seed, same interval. REQUIRES: units > 0.
Interval bootstrap(std::size_t units,
                   const std::function<double(const std::vector<std::size_t>&)>& statistic,
                   std::uint64_t seed, int rounds = 1000);

/// One unit's share of a proportion: `hits` of `cases`.
struct Share {
  double hits = 0;
  double cases = 0;
};
/// Hits over cases of all units together; 0 where there is no case.
double proportion(const std::vector<Share>& shares);
/// Its interval. Where all or none hit, resampling cannot spread: the far end is then the rule of
/// three's (3 / cases; Hanley & Lippman-Hand 1983).
Interval proportion_interval(const std::vector<Share>& shares, std::uint64_t seed);

/// Middle value; the mean of the two middle ones for an even count. REQUIRES: not empty.
double median(std::vector<double> values);
/// The value below which a share `p` of the values lies, linear between ranks. REQUIRES: not empty.
double quantile(std::vector<double> values, double p);
Interval median_interval(const std::vector<double>& values, std::uint64_t seed);

}  // namespace endpin::measures
