#include "measure/strings.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "measure/open_strings.h"

namespace endpin::listen {
namespace {

constexpr double most_doubt_cents = 8, least_confidence = 0.93;
constexpr double least_uncertainty_cents = 1;

// Number of the string that this note can only be the open sound of; 0: none.
int open_string(const TimelineNote& n, const std::array<OpenString, 4>& strings) {
  if (n.harmonic) return 0;
  if (n.midi == strings.back().midi) return 4;
  const bool open = n.open || n.finger == 0;
  return open && n.string && *n.string >= 1 && *n.string <= 4 ? *n.string : 0;
}

StringTuning tuning_of(std::string_view name, std::vector<double> cents, double mean_square_doubt) {
  const auto middle = cents.begin() + static_cast<std::ptrdiff_t>(cents.size() / 2);
  std::nth_element(cents.begin(), middle, cents.end());
  const double tuning = *middle;
  double away = 0;
  for (const double c : cents) away += std::abs(c - tuning) / static_cast<double>(cents.size());
  // 1.25: a mean distance is 0.8 of a standard deviation where errors are normal.
  const double spread = std::hypot(1.25 * away, std::sqrt(mean_square_doubt));
  const double doubt = spread / std::sqrt(static_cast<double>(cents.size()));
  return {std::string(name), Cents(tuning), Cents(std::max(least_uncertainty_cents, doubt)),
          static_cast<int>(cents.size())};
}

}  // namespace

std::vector<StringTuning> string_tunings(const Hearing& hearing, const Timeline& timeline,
                                         int item) {
  std::vector<StringTuning> found;
  const auto* strings = open_strings(timeline.instrument);
  if (!strings) return found;
  std::array<std::vector<double>, 4> cents;
  std::array<double, 4> squares{};
  for (const NoteHearing& n : hearing.notes) {
    if (n.item != item || n.state != NoteState::heard || !n.heard) continue;
    const int string = open_string(timeline.notes[static_cast<std::size_t>(n.index)], *strings);
    const HeardNote& h = *n.heard;
    if (string == 0 || !h.intonation || !h.uncertainty || h.confidence < least_confidence) continue;
    if (h.uncertainty->value() > most_doubt_cents) continue;
    const auto at = static_cast<std::size_t>(string - 1);
    cents[at].push_back(h.intonation->value());
    squares[at] += h.uncertainty->value() * h.uncertainty->value();
  }
  for (std::size_t s = 0; s < cents.size(); ++s) {
    if (cents[s].empty()) continue;
    const double n = static_cast<double>(cents[s].size());
    found.push_back(tuning_of((*strings)[s].name, std::move(cents[s]), squares[s] / n));
  }
  return found;
}

}  // namespace endpin::listen
