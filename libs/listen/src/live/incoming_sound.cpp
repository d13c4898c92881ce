#include "live/incoming_sound.h"

#include <algorithm>
#include <cmath>

namespace endpin::listen {
namespace {

constexpr double kept_s = 2;
constexpr std::int64_t filter_side = 24;  // analysis-rate samples that the low-pass looks ahead

}  // namespace

IncomingSound::IncomingSound(double rate_hz, double longest_window_s)
    : buffer_(static_cast<std::size_t>(rate_hz * (kept_s + 2 * longest_window_s))),
      decimated_(buffer_, rate_hz),
      window_(static_cast<std::size_t>(decimated_.rate_hz() * longest_window_s) + 64) {}

void IncomingSound::make_room() {
  const auto factor = static_cast<std::int64_t>(decimated_.factor());
  const std::int64_t drop = std::max<std::int64_t>(0, needed_ - filter_side - first_);
  const auto raw = static_cast<std::ptrdiff_t>(
      std::min(drop * factor, static_cast<std::int64_t>(filled_) / factor * factor));
  std::copy(buffer_.begin() + raw, buffer_.begin() + static_cast<std::ptrdiff_t>(filled_),
            buffer_.begin());
  filled_ -= static_cast<std::size_t>(raw);
  first_ += raw / factor;
}

std::size_t IncomingSound::add(std::span<const float> samples) {
  if (filled_ + samples.size() > buffer_.size()) make_room();
  const std::size_t count = std::min(samples.size(), buffer_.size() - filled_);
  std::copy_n(samples.begin(), count, buffer_.begin() + static_cast<std::ptrdiff_t>(filled_));
  filled_ += count;
  return count;
}

bool IncomingSound::has(std::int64_t centre, std::size_t count) const {
  const std::int64_t last = centre + static_cast<std::int64_t>(count - count / 2) + filter_side;
  return (last - first_) * static_cast<std::int64_t>(decimated_.factor()) <
         static_cast<std::int64_t>(filled_);
}

std::span<const float> IncomingSound::around(std::int64_t centre, std::size_t count) {
  const std::int64_t from = centre - static_cast<std::int64_t>(count / 2);
  needed_ = std::max(needed_, centre - static_cast<std::int64_t>(window_.size()));
  const auto out = std::span(window_).first(std::min(count, window_.size()));
  decimated_.read(from - first_, out);
  return out;
}

}  // namespace endpin::listen
