#include "measure/tone_end.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "measure/fall.h"

namespace endpin::listen {
namespace {

constexpr int partials_used = 8;
constexpr double within_semitones = 0.5;
// Chosen on simulated takes (voices below 100, ten conditions); of `least_fall_db` 5 and 6 and
// `steep_share` 0.5 and 0.7, which those hardly tell apart (0.9 and 1.0 % of ends wrong), what
// recorded violins favour. What a tone loses at least where the bow leaves it; below which it never
// came back; at which it is over; what lies lower is noise.
constexpr double least_fall_db = 6, came_back_db = 6, over_db = 15, lowest_db = 20;
constexpr double attack_s = 0.04;     // left out of it
constexpr double look_back_s = 0.15;  // the next beginning blurs into the end by the window
constexpr double shortest_s = 0.06;
constexpr double slope_over_s = 0.04;
// The fall begins where it is that much of its steepest: rooms and strings sink evenly or ever
// more slowly; what sinks ever faster is a bow that goes on playing softer.
constexpr double steep_share = 0.7;
constexpr double window_leads_s = 0.005;  // the fall is seen that much early, median
constexpr double turn_s = 0.1;            // a bow that turns and a short rest look alike up to here
// Standard errors by what was seen, fitted with those of doubts.h.
constexpr double joined_doubt_s = 0.045, turn_doubt_s = 0.032, fall_doubt_s = 0.035;

// Decibels of the partials of `midi` in one frame.
double own_level(const Observations& seen, std::size_t frame, int midi, double shift_cents) {
  const auto partials = seen.sound().partials_at(frame);
  double power = 1e-12;
  for (int h = 1; h <= partials_used; ++h) {
    const double target = midi + 12 * std::log2(h) + shift_cents / 100;
    double strongest = 0;
    for (const SmallPartial& p : partials) {
      if (std::abs(partial_midi(p) - target) < within_semitones) {
        strongest = std::max(strongest, p.weight / 255.0);
      }
    }
    power += std::pow(strongest * static_cast<double>(seen.sound().strongest[frame]), 6);
  }
  return 10 * std::log10(power);
}

double middle_of_three(double a, double b, double c) {
  return std::max(std::min(a, b), std::min(std::max(a, b), c));
}

// The level of one tone from its onset to the next, one value a pitch frame.
class Fall {
 public:
  Fall(const Observations& seen, int midi, double onset_s, double next_s, double shift_cents)
      : step_s_(seen.step_s()), first_(static_cast<std::size_t>(std::max(0.0, onset_s) / step_s_)) {
    const std::size_t to =
        std::min(seen.frames(), static_cast<std::size_t>(std::max(0.0, next_s) / step_s_) + 1);
    for (std::size_t f = first_; f < to; ++f) {
      db_.push_back(own_level(seen, f, midi, shift_cents));
    }
  }

  std::optional<ToneEnd> end(double next_s) {
    const int size = static_cast<int>(db_.size());
    if (size <= frames(shortest_s)) return std::nullopt;
    const int lowest = lowest_before_next();
    const int attack = std::min(frames(attack_s), lowest / 3);
    if (lowest < attack + 2) return std::nullopt;
    const double loud = tone_level({db_.begin() + attack, db_.begin() + lowest});
    smooth(loud - lowest_db);
    if (loud - at(lowest) < least_fall_db) return ToneEnd{next_s, joined_doubt_s};
    const int back = last_above(loud - came_back_db, attack, lowest);
    const int over = first_below(loud - over_db, back, lowest);
    const double begin = std::min(next_s, time(begin_of_fall(back, over, attack)) + window_leads_s);
    if (next_s - begin < turn_s) return ToneEnd{(begin + next_s) / 2, turn_doubt_s};
    return ToneEnd{begin, fall_doubt_s};
  }

 private:
  int frames(double s) const { return static_cast<int>(std::lround(s / step_s_)); }
  double at(int k) const {
    return db_[static_cast<std::size_t>(std::clamp(k, 0, static_cast<int>(db_.size()) - 1))];
  }
  double time(int k) const { return (static_cast<double>(first_) + k) * step_s_; }
  double steepness(int k) const {
    return at(k - frames(slope_over_s) / 2) - at(k + frames(slope_over_s) / 2);
  }

  int lowest_before_next() const {
    const int size = static_cast<int>(db_.size());
    const auto from = db_.begin() + std::max(3, size - 1 - frames(look_back_s));
    return static_cast<int>(std::min_element(from, db_.end()) - db_.begin());
  }

  void smooth(double floor) {
    for (double& db : db_) db = std::max(db, floor);
    const std::vector<double> raw = db_;
    for (std::size_t k = 1; k + 1 < raw.size(); ++k) {
      db_[k] = middle_of_three(raw[k - 1], raw[k], raw[k + 1]);
    }
  }

  int last_above(double db, int from, int to) const {
    int k = to;
    while (k > from && at(k) < db) --k;
    return k;
  }

  int first_below(double db, int from, int to) const {
    int k = from;
    while (k < to && at(k) > db) ++k;
    return k;
  }

  int begin_of_fall(int back, int over, int earliest) const {
    int k = std::max(0, back - 3);
    for (int i = k + 1; i <= over; ++i) {
      if (steepness(i) > steepness(k)) k = i;
    }
    const double enough = steep_share * steepness(k);
    while (k > earliest && steepness(k - 1) >= enough) --k;
    return k;
  }

  double step_s_;
  std::size_t first_;
  std::vector<double> db_;
};

}  // namespace

std::optional<ToneEnd> tone_end(const Observations& seen, int midi, double onset_s, double next_s,
                                double shift_cents) {
  return Fall(seen, midi, onset_s, next_s, shift_cents).end(next_s);
}

}  // namespace endpin::listen
