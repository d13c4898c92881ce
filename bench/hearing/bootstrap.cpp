#include "bootstrap.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <random>

namespace endpin::measures {

Interval bootstrap(std::size_t units,
                   const std::function<double(const std::vector<std::size_t>&)>& statistic,
                   std::uint64_t seed, int rounds) {
  assert(units > 0);
  std::mt19937_64 engine(seed);  // its sequence is fixed by the standard; distributions' is not
  std::vector<std::size_t> picked(units);
  std::vector<double> outcomes;
  for (int round = 0; round < rounds; ++round) {
    for (auto& pick : picked) pick = static_cast<std::size_t>(engine() % units);
    outcomes.push_back(statistic(picked));
  }
  return {quantile(outcomes, 0.025), quantile(outcomes, 0.975)};
}

double proportion(const std::vector<Share>& shares) {
  Share sum;
  for (const auto& share : shares) {
    sum.hits += share.hits;
    sum.cases += share.cases;
  }
  return sum.cases > 0 ? sum.hits / sum.cases : 0;
}

Interval proportion_interval(const std::vector<Share>& shares, std::uint64_t seed) {
  if (shares.empty()) return {0, 1};
  const double value = proportion(shares);
  double cases = 0;
  for (const auto& share : shares) cases += share.cases;
  if (cases <= 0) return {0, 1};
  if (value <= 0) return {0, std::min(1.0, 3 / cases)};
  if (value >= 1) return {std::max(0.0, 1 - 3 / cases), 1};
  return bootstrap(
      shares.size(),
      [&](const std::vector<std::size_t>& picked) {
        Share sum;
        for (const auto i : picked) {
          sum.hits += shares[i].hits;
          sum.cases += shares[i].cases;
        }
        return sum.cases > 0 ? sum.hits / sum.cases : value;
      },
      seed);
}

double quantile(std::vector<double> values, double p) {
  assert(!values.empty());
  std::sort(values.begin(), values.end());
  const double place = p * static_cast<double>(values.size() - 1);
  const auto below = static_cast<std::size_t>(place);
  const auto above = std::min(below + 1, values.size() - 1);
  return values[below] + (place - static_cast<double>(below)) * (values[above] - values[below]);
}

double median(std::vector<double> values) { return quantile(std::move(values), 0.5); }

Interval median_interval(const std::vector<double>& values, std::uint64_t seed) {
  return bootstrap(
      values.size(),
      [&](const std::vector<std::size_t>& picked) {
        std::vector<double> drawn;
        for (const auto i : picked) drawn.push_back(values[i]);
        return median(std::move(drawn));
      },
      seed, 300);
}

}  // namespace endpin::measures
