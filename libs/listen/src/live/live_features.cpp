#include "live/live_features.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "align/frame_costs.h"

namespace endpin::listen {
namespace {

constexpr double longest_window_s = 0.17;
// G2: its partials stand apart in 80 ms. `hear` can wait, see LiveSearch.
constexpr int lowest_in_short_window = 43;
constexpr double soundless_dbfs = -65;
// The levels of observations.cpp are followed here, what lies at the floor is not asked for.
constexpr float playing_falls_db = 0.02F, floor_rises_db = 0.03F;  // a frame: 2 and 3 dB a second
constexpr double tuning_forgets = 0.9995;                          // a frame: half in 14 s

}  // namespace

LiveFeatures::LiveFeatures(double rate_hz, int lowest_midi, int highest_midi,
                           std::optional<double> a4_shift_cents)
    : sound_(rate_hz, longest_window_s),
      step_(std::max<std::int64_t>(1, std::lround(0.005 * sound_.rate_hz()))),
      strength_(sound_.rate_hz()),
      taker_(sound_.rate_hz(),
             lowest_midi < lowest_in_short_window ? std::optional(sound_.rate_hz()) : std::nullopt,
             std::nullopt),
      comb_(comb_range(lowest_midi, highest_midi)),
      tuning_given_(a4_shift_cents.has_value()),
      shift_cents_(a4_shift_cents.value_or(0)),
      row_(comb_.width()) {
  partials_.reserve(256);
}

float LiveFeatures::usual_flux() {
  const std::size_t n = std::min(flux_count_, remembered);
  if (n == 0) return 1;
  std::copy_n(flux_.begin(), n, sorted_.begin());
  const auto middle = sorted_.begin() + static_cast<std::ptrdiff_t>(n / 2);
  std::nth_element(sorted_.begin(), middle, sorted_.begin() + static_cast<std::ptrdiff_t>(n));
  return std::max(0.25F, *middle);
}

float LiveFeatures::onset_evidence(std::int64_t centre) {
  const OnsetFrame f = strength_.next(sound_.around(centre, strength_.window()));
  if (fine_frames_++ % 6 == 0) flux_[flux_count_++ % remembered] = f.flux_db;
  level_db_ = std::max(level_db_, f.level_db);
  const float ratio = std::log(std::max(0.02F, f.flux_db) / usual_flux());
  return std::clamp(2.2F * (ratio - 0.75F), -2.0F, 3.5F);
}

void LiveFeatures::follow_level(float level_db) {
  constexpr float softest_playing_dbfs = soundless_dbfs + 20;
  playing_db_ = std::max({level_db, playing_db_ - playing_falls_db, softest_playing_dbfs});
  floor_db_ = std::min(level_db, floor_db_ + floor_rises_db);
}

// As tuning_cents, over what has sounded.
void LiveFeatures::follow_tuning() {
  if (tuning_given_) return;
  for (const SmallPartial& p : partials_) {
    const double midi = partial_midi(p);
    if (midi < 50 || midi > 88 || p.clarity < 20) continue;
    const double weight = p.weight / 255.0 * p.clarity;
    sine_ += weight * std::sin(2 * std::numbers::pi * midi);
    cosine_ += weight * std::cos(2 * std::numbers::pi * midi);
  }
  sine_ *= tuning_forgets;
  cosine_ *= tuning_forgets;
  if (std::hypot(sine_, cosine_) > 2000) {  // about a second of clear tone
    shift_cents_ = 100 * std::atan2(sine_, cosine_) / (2 * std::numbers::pi);
  }
}

bool LiveFeatures::next(LiveFrame& frame) {
  const std::int64_t centre = 2 * frame_ * step_;
  const std::size_t longest = std::max(taker_.window(), taker_.long_window());
  if (!sound_.has(centre + step_, longest)) return false;
  level_db_ = -200;
  frame.onset = std::max(onset_evidence(centre), onset_evidence(centre + step_));
  follow_level(level_db_);
  partials_.clear();
  const auto around = [&](std::size_t count) { return sound_.around(centre, count); };
  taker_.take(around, around, partials_);
  const double playing = static_cast<double>(playing_db_), floor = static_cast<double>(floor_db_);
  const double limit =
      std::min(playing - least_below_playing_db,
               std::max(playing - quiet_below_playing_db, floor + quiet_above_floor_db));
  frame.quiet = static_cast<double>(level_db_) < std::max(limit, soundless_dbfs);
  if (!frame.quiet) follow_tuning();
  frame.best = comb_.salience(partials_, shift_cents_, row_);
  frame.time_s = static_cast<double>(centre) / sound_.rate_hz();
  ++frame_;
  return true;
}

float LiveFeatures::salience(int midi) const {
  const int i = midi - comb_.lowest();
  return i < 0 || i >= static_cast<int>(row_.size()) ? 0 : row_[static_cast<std::size_t>(i)];
}

}  // namespace endpin::listen
