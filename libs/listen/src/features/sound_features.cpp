#include "features/sound_features.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "endpin/dsp/decimate.h"

#include "features/onset_evidence.h"
#include "features/partial_taker.h"

namespace endpin::listen {
namespace {

// The long window looks below 350 Hz only: on sound of that rate or a little more.
constexpr double slow_rate_hz = 3000;

// The analysis-rate sound around the frames at work: each stretch is filtered once.
class SlidingSound {
 public:
  SlidingSound(const DecimatedSound& sound, std::size_t longest_window)
      : sound_(sound), margin_(static_cast<std::int64_t>(longest_window)), buffer_(1U << 15U) {}

  /// Samples around `centre`; centres ascend. REQUIRES: count ≤ longest_window.
  std::span<const float> around(std::int64_t centre, std::size_t count) {
    const std::int64_t from = centre - static_cast<std::int64_t>(count / 2);
    const std::int64_t to = from + static_cast<std::int64_t>(count);
    if (!filled_ || from < start_ || to > start_ + static_cast<std::int64_t>(buffer_.size())) {
      start_ = centre - margin_;
      sound_.read(start_, buffer_);
      filled_ = true;
    }
    return std::span(buffer_).subspan(static_cast<std::size_t>(from - start_), count);
  }

 private:
  const DecimatedSound& sound_;
  std::int64_t margin_, start_ = 0;
  bool filled_ = false;
  std::vector<float> buffer_;
};

// What the long window looks at: the recording once more, at a low rate.
class SlowSound {
 public:
  explicit SlowSound(AudioView recording)
      : sound_(recording.samples, recording.sample_rate_hz, slow_rate_hz) {}

  double rate_hz() const { return sound_.rate_hz(); }
  std::span<const float> around(double seconds, std::size_t count) {
    if (!sliding_) sliding_.emplace(sound_, count);
    return sliding_->around(std::llround(seconds * rate_hz()), count);
  }

 private:
  DecimatedSound sound_;
  std::optional<SlidingSound> sliding_;
};

// The mean level of a period around each frame: within one a low string's pulses come and go.
void even_out(std::vector<OnsetFrame>& frames, std::size_t period) {
  const std::vector<OnsetFrame> uneven = frames;
  for (std::size_t i = period; i + period < frames.size(); ++i) {
    float sum = 0;
    for (std::size_t k = 0; k < period; ++k) sum += uneven[i - period / 2 + k].level_db;
    frames[i].level_db = sum / static_cast<float>(period);
  }
}

}  // namespace

double SoundFeatures::strongest_onset(double from_s, double to_s) const {
  const auto n = static_cast<std::ptrdiff_t>(onset_evidence.size());
  double best = -2;
  for (std::ptrdiff_t f = std::max<std::ptrdiff_t>(0, std::lround(from_s / step_s));
       f < n && static_cast<double>(f) * step_s <= to_s; ++f) {
    best = std::max(best, static_cast<double>(onset_evidence[static_cast<std::size_t>(f)]));
  }
  return best;
}

SoundFeatures sound_features(AudioView recording, const FeatureOptions& options,
                             const Progress& progress) {
  const DecimatedSound sound(recording.samples, recording.sample_rate_hz);
  const auto step = std::max<std::int64_t>(1, std::lround(0.005 * sound.rate_hz()));
  const std::size_t frames = sound.size() / static_cast<std::size_t>(step) + 1;

  SoundFeatures features;
  features.step_s = static_cast<double>(step) / sound.rate_hz();
  features.onset.reserve(frames);
  features.first_partial.reserve(frames / 2 + 2);
  features.strongest.reserve(frames / 2 + 1);
  features.strongest_played.reserve(frames / 2 + 1);
  OnsetStrength strength(sound.rate_hz(), options.longest_period_s, features.step_s);
  std::optional<SlowSound> slow;
  if (options.low_notes) slow.emplace(recording);
  PartialTaker partials(sound.rate_hz(), slow ? std::optional(slow->rate_hz()) : std::nullopt,
                        features.pitch_step_s());
  SlidingSound sliding(sound, std::max(partials.window(), strength.window()));
  for (std::size_t i = 0; i < frames; ++i) {
    const std::int64_t centre = static_cast<std::int64_t>(i) * step;
    features.onset.push_back(strength.next(sliding.around(centre, strength.window())));
    if (i % 2 == 0) {
      features.first_partial.push_back(static_cast<std::uint32_t>(features.partials.size()));
      const double seconds = static_cast<double>(centre) / sound.rate_hz();
      const Strongest strongest = partials.take(
          [&](std::size_t count) { return sliding.around(centre, count); },
          [&](std::size_t count) { return slow->around(seconds, count); }, features.partials);
      features.strongest.push_back(strongest.sounding);
      features.strongest_played.push_back(strongest.played);
    }
    if (progress && i % 2000 == 0) progress(static_cast<double>(i) / static_cast<double>(frames));
  }
  features.first_partial.push_back(static_cast<std::uint32_t>(features.partials.size()));
  if (OnsetStrength::pulses(options.longest_period_s)) {
    even_out(features.onset,
             static_cast<std::size_t>(std::lround(options.longest_period_s / features.step_s)));
  }
  features.onset_evidence = onset_evidence(features.onset, features.step_s);
  return features;
}

}  // namespace endpin::listen
