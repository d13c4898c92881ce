#include "features/sound_features.h"

#include <algorithm>
#include <cmath>

#include "endpin/dsp/decimate.h"
#include "endpin/dsp/spectrum.h"

namespace endpin::listen {
namespace {

// Hann windows: 80 ms parts the partials of C2 (65 Hz) from each other; the long one those of E1.
constexpr double window_s = 0.08, long_window_s = 0.16;
// The long one looks below 350 Hz only: on sound of that rate or a little more.
constexpr double slow_rate_hz = 3000;
constexpr double lowest_hz = 38, highest_hz = 6000, long_window_below_hz = 350;
constexpr float least_clarity_db = 7;  // ours: three in four maxima of white noise lie below
constexpr std::size_t most_partials = 40;
constexpr float lowest_midi = 20;

std::uint16_t place_of(float hz) {
  const float midi = 69 + 12 * std::log2(hz / 440.0F);
  return static_cast<std::uint16_t>(std::clamp((midi - lowest_midi) * 640.0F, 0.0F, 65535.0F));
}

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

class PartialTaker {
 public:
  PartialTaker(AudioView recording, double rate_hz, bool low_notes)
      : rate_hz_(rate_hz),
        spectrum_(window_s, rate_hz),
        finder_(spectrum_.bin_hz(), spectrum_.bins(), low_notes ? long_window_below_hz : lowest_hz,
                highest_hz) {
    if (low_notes) {
      slow_.emplace(recording.samples, recording.sample_rate_hz, slow_rate_hz);
      long_spectrum_.emplace(long_window_s, slow_->rate_hz());
      sliding_slow_.emplace(*slow_, long_spectrum_->window());
      long_finder_.emplace(long_spectrum_->bin_hz(), long_spectrum_->bins(), lowest_hz,
                           long_window_below_hz);
    }
  }

  std::size_t window() const { return spectrum_.window(); }

  void take(SlidingSound& sound, std::int64_t centre, SoundFeatures& into) {
    found_.clear();
    if (long_spectrum_) {
      const double seconds = static_cast<double>(centre) / rate_hz_;
      const std::int64_t slow_centre = std::llround(seconds * slow_->rate_hz());
      long_finder_->find(
          long_spectrum_->power(sliding_slow_->around(slow_centre, long_spectrum_->window())),
          found_);
    }
    finder_.find(spectrum_.power(sound.around(centre, spectrum_.window())), found_);
    keep_strongest(into);
  }

 private:
  void keep_strongest(SoundFeatures& into) {
    constexpr float silent = 1e-11F;  // −110 dBFS
    std::erase_if(found_, [](const Partial& p) {
      return p.prominence < least_clarity_db || p.power < silent;
    });
    if (found_.size() > most_partials) {
      std::nth_element(found_.begin(), found_.begin() + most_partials, found_.end(),
                       [](const Partial& a, const Partial& b) { return a.power > b.power; });
      found_.resize(most_partials);
    }
    float strongest = 0;
    for (const Partial& p : found_) strongest = std::max(strongest, p.power);
    into.strongest.push_back(sixth_root(strongest));
    for (const Partial& p : found_) {
      const float weight = 255.0F * sixth_root(p.power / strongest);
      into.partials.push_back({place_of(p.hz), static_cast<std::uint8_t>(std::min(255.0F, weight)),
                               static_cast<std::uint8_t>(std::min(60.0F, p.prominence))});
    }
  }

  double rate_hz_;
  Spectrum spectrum_;
  PartialFinder finder_;
  std::optional<DecimatedSound> slow_;
  std::optional<SlidingSound> sliding_slow_;
  std::optional<Spectrum> long_spectrum_;
  std::optional<PartialFinder> long_finder_;
  std::vector<Partial> found_;
};

}  // namespace

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
  OnsetStrength strength(sound.rate_hz());
  PartialTaker partials(recording, sound.rate_hz(), options.low_notes);
  SlidingSound sliding(sound, std::max(partials.window(), strength.window()));
  for (std::size_t i = 0; i < frames; ++i) {
    const std::int64_t centre = static_cast<std::int64_t>(i) * step;
    features.onset.push_back(strength.next(sliding.around(centre, strength.window())));
    if (i % 2 == 0) {
      features.first_partial.push_back(static_cast<std::uint32_t>(features.partials.size()));
      partials.take(sliding, centre, features);
    }
    if (progress && i % 2000 == 0) progress(static_cast<double>(i) / static_cast<double>(frames));
  }
  features.first_partial.push_back(static_cast<std::uint32_t>(features.partials.size()));
  return features;
}

}  // namespace endpin::listen
