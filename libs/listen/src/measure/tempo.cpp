#include "measure/tempo.h"

#include <algorithm>
#include <cmath>

#include "measure/beat.h"
#include "quantiles.h"

namespace endpin::listen {
namespace {

// Each factor is a line through its neighbours: so many of them tell as much as one that stands
// alone (ours).
constexpr double share_neighbours = 8;

// Standard error of a median, of errors that are near normal.
double middle_doubt(std::vector<double> values, double middle) {
  const double independent = std::max(1.0, static_cast<double>(values.size()) / share_neighbours);
  for (double& v : values) v -= middle;
  return 1.25 * robust_deviation(std::move(values)) / std::sqrt(independent);
}

}  // namespace

void assemble_tempo(const Aligned& aligned, std::span<const Timeline> items, Hearing& hearing) {
  const auto beats = local_beats(aligned.score, aligned.events);
  std::vector<double> factors, places;
  for (std::size_t i = 0; i < aligned.events.size(); ++i) {
    const Event& e = aligned.event(i);
    if (aligned.events[i].left_out || e.last) continue;
    const double next =
        aligned.score.events[static_cast<std::size_t>(aligned.events[i].event) + 1].onset_quarters;
    const double bpm = 60 * (next - e.onset_quarters) / (e.seconds * beats[i].seconds_per_written);
    factors.push_back(std::log(bpm));
    places.push_back(aligned.events[i].onset_s);
    if (e.bar_start) hearing.tempo.curve.push_back({e.onset_quarters, bpm});
  }
  if (factors.size() < 4 || items.empty()) return;
  const double middle = middle_of(factors);
  hearing.tempo.beat_unit = items[0].beat_unit;
  hearing.tempo.bpm = std::exp(middle) / items[0].beat_unit.to_double();
  hearing.tempo.bpm_uncertainty = *hearing.tempo.bpm * middle_doubt(factors, middle);
  double x = 0, y = 0, xx = 0, xy = 0;
  const double n = static_cast<double>(factors.size());
  for (std::size_t i = 0; i < factors.size(); ++i) x += places[i] / n, y += factors[i] / n;
  for (std::size_t i = 0; i < factors.size(); ++i) {
    xx += (places[i] - x) * (places[i] - x), xy += (places[i] - x) * (factors[i] - y);
  }
  if (xx > 0) {
    hearing.tempo.drift_percent = 100 * (std::exp(xy / xx * (places.back() - places.front())) - 1);
  }
}

}  // namespace endpin::listen
