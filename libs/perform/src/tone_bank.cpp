#include "endpin/perform/tone_bank.h"

#include <algorithm>
#include <cmath>

#include "even_level.h"
#include "pitch_track.h"
#include "retune.h"

namespace endpin {
namespace {

// Chosen by ear and measurement: see docs/decisions/0020-tones-are-measured-as-they-are-taken.md.
constexpr double vibrato_kept = 0.3;
constexpr std::size_t vibrato_cycle = 9600;  // 0.2 s: one cycle at 5 Hz
constexpr std::size_t speaking = 6000;       // 125 ms: a bowed attack is over
constexpr std::size_t steady = 48000;        // a second of it tells the pitch
constexpr double most_gain = 40;             // 32 dB, from the raw level of the sound font
constexpr double begins_at = 0.06;           // of the first quarter second's level
constexpr std::size_t smallest = 48000;      // a second at least, so that it is worth keeping
constexpr double plucked_level = 0.16;       // RMS over the first 100 ms

std::size_t level_width(Hertz pitch) {
  return static_cast<std::size_t>(std::max(1440.0, 3 * performance_rate / pitch.value()));
}

/// The slow error whole, and most of the vibrato around it.
PitchTrack to_undo(PitchTrack track) {
  const std::size_t width = std::max<std::size_t>(1, vibrato_cycle / track.hop);
  const std::vector<double> slow = smoothed(track.cents, width);
  for (std::size_t i = 0; i < slow.size(); ++i) {
    track.cents[i] = slow[i] + (1 - vibrato_kept) * (track.cents[i] - slow[i]);
  }
  return track;
}

/// A plucked sound wanders as it dies: only its first third of a second has a pitch.
PitchTrack mean_of(PitchTrack track) {
  const std::size_t frames =
      std::min(track.cents.size(), static_cast<std::size_t>(performance_rate) / 3 / track.hop);
  double sum = 0;
  for (std::size_t i = 1; i < frames; ++i) sum += track.cents[i];
  const double mean = frames > 1 ? sum / static_cast<double>(frames - 1) : 0;
  track.cents.assign(1, mean);
  return track;
}

std::span<const float> steady_part(const std::vector<float>& samples) {
  const std::size_t from = std::min<std::size_t>(samples.size(), performance_rate / 10);
  return std::span(samples).subspan(from, std::min(samples.size() - from, steady));
}

/// The first sample at which something is heard.
std::size_t beginning(std::span<const float> samples, double fraction) {
  const std::size_t head = std::min<std::size_t>(samples.size(), performance_rate / 4);
  double energy = 0;
  for (const float s : samples.first(head)) energy += static_cast<double>(s) * s;
  const double level = std::sqrt(energy / static_cast<double>(std::max<std::size_t>(head, 1)));
  const auto heard = std::find_if(samples.begin(), samples.end(),
                                  [&](float s) { return std::abs(s) > fraction * level; });
  return heard == samples.end() ? 0 : static_cast<std::size_t>(heard - samples.begin());
}

}  // namespace

Result<StringTone> ToneBank::tone(Technique technique, int midi, std::size_t count) {
  const std::pair key(technique, midi);
  auto found = kept_.find(key);
  if (found == kept_.end() || found->second.samples.size() < count) {
    const std::size_t before = found == kept_.end() ? 0 : found->second.samples.size();
    Result<Kept> made = prepare(technique, midi, std::max({count, 2 * before, smallest}));
    if (!made) return Unexpected(made.error());
    found = kept_.insert_or_assign(key, std::move(*made)).first;
  }
  return StringTone{found->second.samples, found->second.settled};
}

Result<ToneBank::Kept> ToneBank::prepare(Technique technique, int midi, std::size_t count) {
  const Hertz pitch = frequency(midi, a4_);
  // Reading up to 60 cents faster, and cutting up to a quarter second.
  const std::size_t enough = count + count / 16 + performance_rate / 4;
  Result<std::vector<float>> raw = sounds_.sound(technique, midi, enough);
  if (!raw) return Unexpected(raw.error());
  const bool bowed = technique == Technique::bowed;
  PitchTrack track = track_pitch(*raw, pitch);
  track = bowed ? to_undo(std::move(track)) : mean_of(std::move(track));
  Kept kept;
  kept.samples = retune(*raw, track);
  if (bowed) {
    // Harmonics that disagree leave a rest: the wave as a whole decides.
    const double rest = mean_cents(steady_part(kept.samples), pitch);
    for (double& cents : track.cents) cents += rest;
    kept.samples = retune(*raw, track);
  }
  remove_rumble(kept.samples, pitch.value());
  const auto from = static_cast<std::ptrdiff_t>(beginning(kept.samples, bowed ? begins_at : 0.2));
  kept.samples.erase(kept.samples.begin(), kept.samples.begin() + from);
  kept.samples.resize(count);
  if (bowed) {
    even_out(kept.samples, tone_level, level_width(pitch), most_gain);
    kept.settled = speaking;
  } else {
    const auto head = std::span<const float>(kept.samples).first(performance_rate / 10);
    const double level = level_track(head, head.size(), 2 * head.size()).back();
    for (float& s : kept.samples) s *= static_cast<float>(plucked_level / std::max(level, 1e-6));
  }
  return kept;
}

}  // namespace endpin
