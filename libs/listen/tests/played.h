#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

#include "endpin/listen/listen.h"

/// Timelines and sound made in the test: harmonic tones with soft attacks and a little noise.
namespace endpin::listen {

struct Tune {
  Timeline timeline;

  /// Quarters, 4 to a bar, one after the other.
  explicit Tune(const std::vector<int>& midi, double bpm = 90) {
    timeline.instrument = "violin";
    timeline.tempo = TempoMap(Bpm(bpm));
    timeline.fifths = 1;
    for (std::size_t i = 0; i < midi.size(); ++i) {
      if (i % 4 == 0) {
        TimelineBar bar;
        bar.number = std::to_string(i / 4 + 1);
        bar.written_index = static_cast<int>(i / 4);
        bar.start = Beats(static_cast<std::int64_t>(i));
        bar.length = Beats(4);
        timeline.bars.push_back(bar);
      }
      TimelineNote n;
      n.index = static_cast<int>(i);
      n.id = "n" + std::to_string(i);
      n.bar = std::to_string(i / 4 + 1);
      n.onset = Beats(static_cast<std::int64_t>(i));
      n.duration = Beats(1);
      n.midi = midi[i];
      n.spelled = spell(midi[i], 1);
      timeline.notes.push_back(n);
    }
  }
};

struct Sounded {
  double onset_s, length_s;
  double midi;  ///< with cents
  double level = 0.2;
};

class Recording {
 public:
  static constexpr double rate = 24000;

  explicit Recording(double seconds) : samples_(static_cast<std::size_t>(seconds * rate)) {
    for (float& x : samples_) x = 0.0004F * white(state_);
  }

  Recording& add(const Sounded& n) {
    const double hz = 440 * std::exp2((n.midi - 69) / 12);
    const auto from = static_cast<std::size_t>(n.onset_s * rate);
    const auto length = static_cast<std::size_t>(n.length_s * rate);
    for (std::size_t i = 0; i < length && from + i < samples_.size(); ++i) {
      const double t = static_cast<double>(i) / rate;
      const double left = static_cast<double>(length - i) / rate;
      const double level = n.level * std::min({1.0, t / 0.03, left / 0.03});
      for (int h = 1; h <= 10 && h * hz < 9000; ++h) {
        samples_[from + i] +=
            static_cast<float>(level / h * std::sin(2 * std::numbers::pi * hz * h * t + h * h));
      }
    }
    return *this;
  }

  /// White noise, the same each time.
  Recording& add_noise(float level) {
    std::uint32_t state = 7;
    for (float& x : samples_) x += level * white(state);
    return *this;
  }

  AudioView view() const { return {samples_, rate}; }
  std::vector<float>& samples() { return samples_; }

 private:
  static float white(std::uint32_t& state) {
    state = state * 1664525U + 1013904223U;
    return static_cast<float>(state >> 8U) / 8388608.0F - 1;
  }
  std::uint32_t state_ = 1;
  std::vector<float> samples_;
};

/// The tune's notes named by `order`, `each` seconds apart from `start_s` on.
inline Recording play(const Tune& tune, const std::vector<int>& order, double each = 2.0 / 3,
                      double start_s = 0.5) {
  Recording r(start_s + each * static_cast<double>(order.size()) + 0.7);
  for (std::size_t i = 0; i < order.size(); ++i) {
    const auto index = static_cast<std::size_t>(order[i]);
    r.add({start_s + each * static_cast<double>(i), 0.92 * each,
           static_cast<double>(tune.timeline.notes[index].midi)});
  }
  return r;
}

constexpr double beat_s = 2.0 / 3;  ///< at 90 a minute

/// A hearing in which all of a tune at 90 a minute was played as written.
inline Hearing as_written(const Tune& tune) {
  Hearing h;
  h.status = HearingStatus::ok;
  for (const TimelineNote& n : tune.timeline.notes) {
    NoteHearing heard;
    heard.index = n.index;
    heard.onset = n.onset;
    heard.duration = n.duration;
    heard.midi = n.midi;
    heard.state = NoteState::heard;
    heard.heard = HeardNote{};
    heard.heard->onset = Seconds(0.5 + beat_s * n.onset.to_double());
    heard.heard->offset = heard.heard->onset + Seconds(0.95 * beat_s * n.duration.to_double());
    heard.heard->midi = n.midi;
    heard.heard->sounding_ratio = 0.95;
    heard.heard->gap = Seconds(0.02);
    heard.heard->dip = Decibels(9);
    heard.heard->fall = Decibels(1);
    heard.heard->attack = 2;
    heard.heard->confidence = 0.95;
    h.notes.push_back(std::move(heard));
  }
  return h;
}

/// Kinds of those findings that are to work on.
inline std::vector<FindingKind> work(const std::vector<Finding>& found) {
  std::vector<FindingKind> kinds;
  for (const Finding& f : found) {
    if (tone(f.kind) == endpin::Tone::work) kinds.push_back(f.kind);
  }
  return kinds;
}

inline std::vector<int> all_of(const Tune& tune) {
  std::vector<int> order;
  for (const TimelineNote& n : tune.timeline.notes) order.push_back(n.index);
  return order;
}

inline Hearing hear_one(const Tune& tune, const Recording& r, const HearOptions& options = {}) {
  return hear(std::span(&tune.timeline, 1), r.view(), options);
}

}  // namespace endpin::listen
