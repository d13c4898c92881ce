#include "endpin/perform/sound_bank.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>
#include <span>

#include <nlohmann/json.hpp>

#include "drone.h"
#include "loop.h"

namespace endpin {
namespace {

constexpr double bowed_s = 1.5;
constexpr double plucked_s = 0.9;
constexpr double loop_from_s = 0.45;
constexpr double loop_s = 0.9;
constexpr double fade_s = 0.06;
constexpr double pause_s = 0.02;
constexpr std::size_t half_taps = 24;

std::size_t samples_of(double seconds, int rate) {
  return static_cast<std::size_t>(std::lround(seconds * rate));
}

// Every second sample after a low pass at 0.45 of the new rate (windowed sinc, Blackman).
std::vector<float> halved(std::span<const float> samples) {
  std::vector<double> kernel(2 * half_taps + 1);
  double sum = 0;
  for (std::size_t i = 0; i < kernel.size(); ++i) {
    const double x = static_cast<double>(i) - half_taps;
    const double phase = std::numbers::pi * static_cast<double>(i) / half_taps;
    const double window = 0.42 - 0.5 * std::cos(phase) + 0.08 * std::cos(2 * phase);
    const double sinc =
        x == 0 ? 0.45 : std::sin(std::numbers::pi * 0.45 * x) / (std::numbers::pi * x);
    kernel[i] = sinc * window;
    sum += kernel[i];
  }
  std::vector<float> out(samples.size() / 2);
  for (std::size_t n = 0; n < out.size(); ++n) {
    double value = 0;
    for (std::size_t i = 0; i < kernel.size(); ++i) {
      const std::size_t at = 2 * n + i - half_taps;  // wraps around below 0: out of range
      if (at < samples.size()) value += samples[at] * kernel[i];
    }
    out[n] = static_cast<float>(value / sum);
  }
  return out;
}

std::vector<int> thinned(const std::set<int>& pitches, std::size_t most) {
  std::vector<int> all(pitches.begin(), pitches.end());
  if (all.size() <= most || most < 2) return all;
  std::vector<int> kept;
  for (std::size_t i = 0; i < most; ++i) kept.push_back(all[i * (all.size() - 1) / (most - 1)]);
  return kept;
}

class Builder {
 public:
  Builder(ToneBank& tones, const std::string& instrument) : tones_(tones) {
    bank_.instrument = instrument;
    bank_.audio.rate = bank_rate;
  }

  Result<void> add(Technique technique, int midi) {
    const bool bowed = technique == Technique::bowed;
    const double seconds = bowed ? bowed_s : plucked_s;
    const auto tone =
        tones_.tone(technique, midi, samples_of(seconds, performance_rate) + 2 * half_taps);
    if (!tone) return Unexpected(Error(tone.error()));
    std::vector<float> samples = halved(tone->samples);
    samples.resize(samples_of(seconds, bank_rate));
    BankTone entry{technique, midi, here(0), here(tone->settled / 2), {}, {}, {}};
    if (bowed) {
      add_loop(entry, samples);
    } else {
      fade_out(samples);
    }
    entry.end = here(samples.size());
    bank_.tones.push_back(entry);
    append(samples);
    return {};
  }

  SoundBank take() { return std::move(bank_); }

 private:
  Seconds here(std::size_t offset) const {
    return Seconds(static_cast<double>(bank_.audio.samples.size() + offset) / bank_rate);
  }

  void add_loop(BankTone& entry, std::vector<float>& samples) {
    const double period = bank_rate / frequency(entry.midi).value();
    const double length = std::round(loop_s * bank_rate / period) * period;
    const Loop loop = make_loop(samples, samples_of(loop_from_s, bank_rate),
                                static_cast<std::size_t>(std::lround(length)), period,
                                samples_of(fade_s, bank_rate));
    entry.loop_start = here(loop.start);
    entry.loop_end = here(loop.end);
    // A player that interpolates may look a little beyond the loop's end.
    samples.resize(loop.end + 64);
    for (std::size_t i = 0; i < 64; ++i) samples[loop.end + i] = samples[loop.start + i];
  }

  static void fade_out(std::vector<float>& samples) {
    const std::size_t length = samples.size() / 3;
    for (std::size_t i = 0; i < length; ++i) {
      samples[samples.size() - 1 - i] *= static_cast<float>(i) / static_cast<float>(length);
    }
  }

  void append(const std::vector<float>& samples) {
    auto& all = bank_.audio.samples;
    all.insert(all.end(), samples.begin(), samples.end());
    all.resize(all.size() + samples_of(pause_s, bank_rate));
  }

  ToneBank& tones_;
  SoundBank bank_;
};

double rounded(Seconds time) { return std::round(time.value() * 1e6) / 1e6; }

}  // namespace

Result<SoundBank> sound_bank(const Timeline& timeline, ToneBank& tones, std::size_t most) {
  std::set<int> bowed;
  std::set<int> plucked;
  for (const TimelineNote& note : timeline.notes)
    (note.plucked ? plucked : bowed).insert(note.midi);
  for (const PerformedNote& note : drone_notes(timeline, Seconds(0), Seconds(1))) {
    bowed.insert(note.midi);
  }
  Builder builder(tones, timeline.instrument);
  for (const int midi : thinned(bowed, most)) {
    if (auto added = builder.add(Technique::bowed, midi); !added) return Unexpected(added.error());
  }
  for (const int midi : thinned(plucked, most)) {
    if (auto added = builder.add(Technique::plucked, midi); !added)
      return Unexpected(added.error());
  }
  return builder.take();
}

std::string bank_to_json(const SoundBank& bank) {
  nlohmann::ordered_json json;
  json["schema"] = "endpin.bank/1";
  json["instrument"] = bank.instrument;
  json["rate"] = bank.audio.rate;
  json["tones"] = nlohmann::ordered_json::array();
  for (const BankTone& tone : bank.tones) {
    const bool bowed = tone.technique == Technique::bowed;
    nlohmann::ordered_json entry{{"technique", bowed ? "bowed" : "plucked"},
                                 {"midi", tone.midi},
                                 {"start_s", rounded(tone.start)},
                                 {"settled_s", rounded(tone.settled)},
                                 {"loop_start_s", nullptr},
                                 {"loop_end_s", nullptr},
                                 {"end_s", rounded(tone.end)}};
    if (bowed) {
      entry["loop_start_s"] = rounded(tone.loop_start);
      entry["loop_end_s"] = rounded(tone.loop_end);
    }
    json["tones"].push_back(std::move(entry));
  }
  return json.dump();
}

}  // namespace endpin
