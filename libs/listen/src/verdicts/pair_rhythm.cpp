#include <algorithm>
#include <cmath>
#include <vector>

#include "plain_rhythms.h"
#include "quantiles.h"
#include "verdicts/time_findings.h"

namespace endpin::listen {
namespace {

constexpr double shortest_s = 0.05, least_shift_s = 0.04;
// Sure of a beginning makes the note's confidence, and where little was shifted its stroke as well.
constexpr double sure = 0.975, very_sure = 0.99, sure_between = 0.93;
constexpr double sure_attack = 1, sure_dip_db = 6;
// The alignment expects the written rhythm: that the note between was placed elsewhere all the same
// says more than its confidence.
constexpr double small_shift_s = 0.08;
// How far a share strays: by the player, within these, and by the placing of each beginning, whose
// median error on simulated takes is 7 to 10 ms.
constexpr double least_spread = 0.03, usual_spread = 0.045, most_spread = 0.06;
constexpr double placed_within_s = 0.012;
constexpr std::size_t enough_pairs = 8;
// How well two notes keep their time together: logarithms.
constexpr double least_total_spread = 0.05, most_total_spread = 0.085, most_total = 0.25;
constexpr double fits_within = 2;  // spreads
// What one note gains the other loses. Who takes a breath after the second, or stays on the first,
// changes their shares as well, but by one of them alone (ours).
constexpr double least_of_shift = 0.4;

struct Pair {
  Stride first, second;
  double written_s() const { return first.written_s + second.written_s; }
  double heard_s() const { return first.heard_s + second.heard_s; }
  double written_share() const { return first.written_s / written_s(); }
  double heard_share() const { return first.heard_s / heard_s(); }
  double strays() const { return heard_share() - written_share(); }
  /// Logarithm of the time that both took over what they had at the tempo around.
  double total() const { return std::log(heard_s() / (first.ratio * written_s())); }
};

std::vector<Pair> pairs_of(const TakeView& take) {
  std::vector<Pair> pairs;
  for (const Stride& first : take.strides()) {
    const Stride* second = take.stride_from(first.to);
    if (second) pairs.push_back({first, *second});
  }
  return pairs;
}

/// How this player shares the time of two notes, and keeps it.
struct Player {
  double share = usual_spread, total = least_total_spread;
};

Player player_of(const std::vector<Pair>& pairs) {
  Player player;
  if (pairs.size() < enough_pairs) return player;
  std::vector<double> shares, totals;
  for (const Pair& p : pairs) {
    shares.push_back(p.strays());
    totals.push_back(p.total());
  }
  player.share = std::clamp(robust_deviation(std::move(shares)), least_spread, most_spread);
  player.total =
      std::clamp(robust_deviation(std::move(totals)), least_total_spread, most_total_spread);
  return player;
}

bool begins_surely(const TakeView& take, int i, double shift_s, double least) {
  const HeardNote& h = take.sound(i);
  if (shift_s >= small_shift_s) return h.confidence >= least;
  if (h.confidence < very_sure) return false;
  return h.attack.value_or(-2) >= sure_attack || h.dip.value_or(Decibels(0)).value() >= sure_dip_db;
}

// A player may stay on the note that a section begins with.
bool begins_section(const TimeVerdicts& verdicts, const Pair& pair) {
  const Stride* before = verdicts.take().stride_to(pair.first.from);
  return before && verdicts.begins_section(*before);
}

bool can_be_told(const TimeVerdicts& verdicts, const Pair& pair, double shift_s) {
  const TakeView& take = verdicts.take();
  const auto plain = [&](int i) { return take.written(i).ornament == Ornament::none; };
  const auto surely = [&](int i, double least = sure) {
    return begins_surely(take, i, shift_s, least);
  };
  return !begins_section(verdicts, pair) && !verdicts.said(pair.first.from) &&
         may_be_judged(verdicts, pair.first) && may_be_judged(verdicts, pair.second) &&
         surely(pair.first.from) && surely(pair.first.to, sure_between) && surely(pair.second.to) &&
         take.begins_clearly(pair.first.from) && plain(pair.first.from) && plain(pair.first.to) &&
         take.written(pair.first.from).graces_before == 0 &&
         std::min(pair.first.heard_s, pair.second.heard_s) > shortest_s;
}

// Another plain rhythm than the written one is what was played: the logarithm of the likelihoods'
// ratio, shares straying normally. The other keeps the time of both; who stays on a note or plays
// freely does not, and that is no other rhythm.
bool is_another_rhythm(const Pair& pair, const Player& player) {
  const double placed = placed_within_s * std::sqrt(1.5) / pair.heard_s();
  const double spread = std::hypot(player.share, placed);
  const double from_written = pair.strays() / spread, from_total = pair.total() / player.total;
  return std::any_of(plain_shares.begin(), plain_shares.end(), [&](double share) {
    if (!other_rhythm(share, pair.written_share())) return false;
    const double from_other = (pair.heard_share() - share) / spread;
    const double against = from_other * from_other + from_total * from_total;
    return std::abs(from_other) <= fits_within &&
           0.5 * (from_written * from_written - against) >= another_rhythm_cost;
  });
}

bool takes_from_the_other(const Pair& pair, double shift_s) {
  const double sign = shift_s < 0 ? -1 : 1, least = least_of_shift * std::abs(shift_s);
  return sign * pair.first.excess_s() >= least && -sign * pair.second.excess_s() >= least;
}

}  // namespace

void add_pair_rhythm(TimeVerdicts& verdicts) {
  const std::vector<Pair> pairs = pairs_of(verdicts.take());
  const Player player = player_of(pairs);
  for (const Pair& pair : pairs) {
    const double shift_s = pair.strays() * pair.heard_s();
    if (std::abs(shift_s) < least_shift_s || std::abs(pair.total()) > most_total) continue;
    if (!takes_from_the_other(pair, shift_s) || !is_another_rhythm(pair, player)) continue;
    if (can_be_told(verdicts, pair, std::abs(shift_s))) {
      say_early_or_late(verdicts, pair.first.to, shift_s);
    }
  }
}

}  // namespace endpin::listen
