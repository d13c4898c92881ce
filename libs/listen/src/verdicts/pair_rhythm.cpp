#include <algorithm>
#include <array>
#include <cmath>

#include "verdicts/time_findings.h"

namespace endpin::listen {
namespace {

// What two notes' first may take of their time in plain rhythms.
constexpr std::array plain_shares{0.25, 1.0 / 3, 0.5, 2.0 / 3, 0.75};
constexpr double apart = 0.16, close = 0.055;  // shares: of two rhythms; of one that is played
constexpr double total_within = 0.15;          // the two together keep their time
constexpr double shortest_s = 0.05;
constexpr double sure = 0.9, sure_attack = 1, sure_dip_db = 6;
// How far the onset between lies from its own place: 40 ms, and three times the player's freedom.
constexpr double least_shift_s = 0.04, free_times = 3;

struct Pair {
  Stride first, second;
  double written_share() const { return first.written_s / (first.written_s + second.written_s); }
  double heard_share() const { return first.heard_s / heard_s(); }
  double heard_s() const { return first.heard_s + second.heard_s; }
  double expected_s() const { return first.ratio * (first.written_s + second.written_s); }
};

// Short times ask for surer beginnings than long ones.
bool begins_surely(const TakeView& take, int i) {
  const HeardNote& h = take.sound(i);
  return h.confidence >= sure && (h.attack.value_or(-2) >= sure_attack ||
                                  h.dip.value_or(Decibels(0)).value() >= sure_dip_db);
}

bool can_be_told(const TimeVerdicts& verdicts, const Pair& pair) {
  const TakeView& take = verdicts.take();
  const auto plain = [&](int i) { return take.written(i).ornament == Ornament::none; };
  return may_be_judged(verdicts, pair.first) && may_be_judged(verdicts, pair.second) &&
         begins_surely(take, pair.first.from) && begins_surely(take, pair.first.to) &&
         begins_surely(take, pair.second.to) && plain(pair.first.from) && plain(pair.first.to) &&
         take.written(pair.first.from).graces_before == 0 &&
         std::min(pair.first.heard_s, pair.second.heard_s) > shortest_s &&
         std::abs(pair.heard_s() / pair.expected_s() - 1) < total_within;
}

// Another plain rhythm than the written one is what was played.
bool is_another_rhythm(const Pair& pair) {
  const double heard = pair.heard_share(), written = pair.written_share();
  if (std::abs(heard - written) < apart) return false;
  return std::any_of(plain_shares.begin(), plain_shares.end(), [&](double share) {
    return std::abs(share - written) >= apart && std::abs(share - heard) <= close;
  });
}

}  // namespace

void add_pair_rhythm(TimeVerdicts& verdicts) {
  const TakeView& take = verdicts.take();
  const double least_s = std::max(least_shift_s, free_times * take.freedom_s());
  for (const Stride& first : take.strides()) {
    const Stride* second = take.stride_from(first.to);
    if (!second) continue;
    const Pair pair{first, *second};
    const double shift_s = (pair.heard_share() - pair.written_share()) * pair.heard_s();
    if (std::abs(shift_s) < least_s || !is_another_rhythm(pair)) continue;
    if (can_be_told(verdicts, pair)) say_early_or_late(verdicts, first.to, shift_s);
  }
}

}  // namespace endpin::listen
