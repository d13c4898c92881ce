#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace endpin {

/// A recording at a lower rate (an analysis rate of 20 to 40 kHz unless another is asked for), made
/// where it is asked for: every `factor`-th
/// sample after a linear-phase low-pass (Kaiser window, 80 dB, Oppenheim & Schafer §7.6), so that
/// sample n stands for the time n / rate_hz() exactly (no delay). A lower rate is left as it is.
/// Values that are not finite count as 0, others are held within ±100. Outside the recording: 0.
class DecimatedSound {
 public:
  /// `samples` is not copied. The new rate is at least `lowest_rate_hz` where `rate_hz` is; the
  /// factor is at most 64. REQUIRES: rate_hz > 0.
  DecimatedSound(std::span<const float> samples, double rate_hz, double lowest_rate_hz = 20'000);

  double rate_hz() const { return rate_hz_ / static_cast<double>(factor_); }
  std::size_t size() const { return (samples_.size() + factor_ - 1) / factor_; }
  std::size_t factor() const { return factor_; }

  /// Samples from, from+1, … of the analysis rate. O(out.size() · taps), allocates nothing.
  void read(std::int64_t from, std::span<float> out) const;

 private:
  void clean(std::int64_t from, std::span<float> out) const;

  std::span<const float> samples_;
  double rate_hz_;
  std::size_t factor_;
  std::vector<float> taps_;
};

}  // namespace endpin
