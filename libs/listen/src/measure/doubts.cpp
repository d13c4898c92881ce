#include "measure/doubts.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace endpin::listen {
namespace {

// The search's own spread is right in its order; far places that it does not quite exclude make it
// too wide, and the definition of a beginning is not sharper than the least.
constexpr double of_spread = 1.2, least_s = 0.007, most_s = 0.025, most_after_rest_s = 0.009;
constexpr double by_level_s = 0.055;

// Rounded down where all was right (of 5298 notes 3 were not): simulated players are cleaner than
// real ones.
struct Knot {
  double score, probability;
};
constexpr std::array<Knot, 5> knots{
    {{0, 0.88}, {0.6, 0.93}, {0.8, 0.975}, {0.9, 0.99}, {1, 0.997}}};

}  // namespace

double onset_doubt_s(const Event& event, const Fine& fine) {
  const double most = event.after_rest || event.first ? most_after_rest_s : most_s;
  return std::clamp(of_spread * fine.onset_spread_s, least_s, most);
}

double offset_doubt_s(bool in_bow, double next_doubt_s) {
  return in_bow ? next_doubt_s : by_level_s;
}

double calibrated(double score) {
  const auto above = std::find_if(knots.begin() + 1, knots.end() - 1,
                                  [&](const Knot& k) { return score < k.score; });
  const Knot &low = *(above - 1), &high = *above;
  const double part = (score - low.score) / (high.score - low.score);
  return std::lerp(low.probability, high.probability, std::clamp(part, 0.0, 1.0));
}

}  // namespace endpin::listen
