#include "measure/reference.h"

#include <algorithm>
#include <cmath>

#include "measure/tone.h"
#include "quantiles.h"

namespace endpin::listen {
namespace {

constexpr double habit_cents = 2, habit_spread = 10;
constexpr double most_independent = 6;  // notes of one player lean the same way

}  // namespace

Tuning heard_tuning(const ScoreModel& score, const Observations& seen,
                    std::span<const Placed> placed, double shift_cents) {
  std::vector<double> found;
  for (std::size_t i = 0; i < placed.size(); ++i) {
    const Event& e = score.events[static_cast<std::size_t>(placed[i].event)];
    if (e.pitches.size() != 1 || e.ornamented) continue;
    const double end =
        i + 1 < placed.size() ? std::min(placed[i].end_s, placed[i + 1].onset_s) : placed[i].end_s;
    const Tone t = measure_tone(seen, e, e.pitches.front(), placed[i].onset_s, end, shift_cents);
    if (t.intonation && t.evidence > -1.5) found.push_back(t.intonation->value());
  }
  if (found.size() < 3) return {shift_cents, habit_spread};
  const double middle = middle_of(found);
  const auto ranked = [&](std::size_t k) {
    const auto at = found.begin() + static_cast<std::ptrdiff_t>(k);
    std::nth_element(found.begin(), at, found.end());
    return *at;
  };
  const double quartiles = ranked(found.size() * 3 / 4) - ranked(found.size() / 4);
  const double spread = std::max(3.0, 0.5 * quartiles * 1.48);
  const double n = std::min(most_independent, static_cast<double>(found.size()));
  const double doubt = spread * spread / n, habit = habit_spread * habit_spread;
  const double heard = shift_cents + middle;
  return {(heard * habit + habit_cents * doubt) / (habit + doubt),
          std::sqrt(habit * doubt / (habit + doubt))};
}

}  // namespace endpin::listen
