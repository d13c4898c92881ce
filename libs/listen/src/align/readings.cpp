#include "align/readings.h"

#include <algorithm>
#include <cmath>

#include "align/run_search.h"
#include "plain_rhythms.h"

namespace endpin::listen {
namespace {

constexpr double sure = 0.95;
constexpr double spread = 0.045;  // of shares, as of any player (verdicts/pair_rhythm.cpp)

}  // namespace

Marginal marginal(const std::vector<float>& log_likelihood, int chosen, double step_s) {
  const float best = *std::max_element(log_likelihood.begin(), log_likelihood.end());
  double all = 0, near = 0, squares = 0;
  const int reach = static_cast<int>(0.05 / step_s);
  for (std::size_t i = 0; i < log_likelihood.size(); ++i) {
    const double share = std::exp(static_cast<double>(log_likelihood[i] - best));
    const int away = static_cast<int>(i) - chosen;
    all += share;
    squares += share * away * away;
    if (std::abs(away) <= reach) near += share;
  }
  if (all <= 0) return {};
  return {near / all, std::sqrt(squares / all) * step_s};
}

Readings::Readings(const ScoreModel& score, const Observations& seen, Run& run)
    : score_(score), seen_(seen), run_(run) {}

bool Readings::expect_others(const std::vector<int>& frames, float score) {
  std::vector<Shared> others;
  for (std::size_t k = 1; k + 2 < run_.stages.size(); ++k) {
    if (!is_read(frames, k)) continue;
    const Shared other = likeliest_other(frames, k);
    if (other.score > score + static_cast<float>(another_rhythm_cost)) others.push_back(other);
  }
  if (others.empty()) return false;
  search_run_again(score_, seen_, expect(std::move(others)), run_);
  return true;
}

void Readings::compare(std::vector<int>& frames, std::vector<Marginal>& marginals) {
  for (std::size_t k = 1; k + 2 < run_.stages.size(); ++k) {
    if (!is_read(frames, k) || marginals[k].share > sure) continue;
    const int from = frames[k - 1];
    find_likely(frames, k);
    const int place = best_place(expected_share(k), frames[k] - from);
    const Marginal read = marginal(likely_, place, seen_.sound().step_s);
    if (from + place != frames[k] || read.share > marginals[k].share) marginals[k] = read;
    frames[k] = from + place;
  }
}

bool Readings::is_read(const std::vector<int>& frames, std::size_t k) const {
  return frames[k - 1] >= 0 && frames[k] >= 0 && frames[k + 1] >= 0 &&
         !run_.stages[k - 1].extra_after && !run_.stages[k].extra_after;
}

void Readings::find_likely(const std::vector<int>& frames, std::size_t k) {
  likely_ = beginnings_between(score_, seen_, run_, k, frames[k - 1], frames[k + 1]);
}

double Readings::expected_share(std::size_t k) const {
  const double first = run_.stages[k - 1].expected_s, second = run_.stages[k].expected_s;
  return first / (first + second);
}

// What is no likelier than the expected rhythm where the neighbours stand is not tried.
Readings::Shared Readings::likeliest_other(const std::vector<int>& frames, std::size_t k) {
  find_likely(frames, k);
  const double expected = expected_share(k), as_expected = read_as(expected).score;
  const double both_s = run_.stages[k - 1].expected_s + run_.stages[k].expected_s;
  Shared best{k, 0, 0, unreached};
  for (const double share : plain_shares) {
    if (!other_rhythm(share, expected) || read_as(share).score <= as_expected) continue;
    Shared other{k, share * both_s, (1 - share) * both_s, 0};
    other.score = best_shared(score_, seen_, run_, k, other.first_s, other.second_s);
    if (other.score > best.score) best = other;
  }
  return best;
}

// The likeliest first; a note has one rhythm.
std::vector<bool> Readings::expect(std::vector<Shared> others) {
  std::sort(others.begin(), others.end(),
            [](const Shared& a, const Shared& b) { return a.score > b.score; });
  std::vector<bool> taken(run_.stages.size());
  for (const Shared& other : others) {
    if (taken[other.k - 1] || taken[other.k]) continue;
    taken[other.k - 1] = taken[other.k] = true;
    run_.stages[other.k - 1].expected_s = other.first_s;
    run_.stages[other.k].expected_s = other.second_s;
  }
  return taken;
}

Readings::Reading Readings::read_as(double share) const {
  Reading best{0, static_cast<double>(unreached)};
  const double length = static_cast<double>(likely_.size() - 1);
  for (std::size_t i = 0; i < likely_.size(); ++i) {
    const double z = (static_cast<double>(i) / length - share) / spread;
    const double score = static_cast<double>(likely_[i]) - 0.5 * z * z;
    if (score > best.score) best = {static_cast<int>(i), score};
  }
  return best;
}

int Readings::best_place(double expected, int placed) const {
  const double as_expected = read_as(expected).score;
  Reading best{placed, as_expected + another_rhythm_cost};
  for (const double share : plain_shares) {
    if (!other_rhythm(share, expected)) continue;
    const Reading other = read_as(share);
    if (other.score > best.score) best = other;
  }
  return best.place;
}

}  // namespace endpin::listen
