#include "endpin/simulator/sampled_string.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "bow_noise.h"

namespace endpin::simulator {
namespace {

constexpr double join_s = 0.025;  // where a held tone goes round

/// Reads a held note at any pitch, round and round.
class Reader {
 public:
  explicit Reader(const MeasuredNote& note) : note_(note), at_(note.start_s) {}

  double next(double hz, int rate) {
    const double value = mixed();
    at_ += hz / recorded_hz() / rate;
    if (at_ >= note_.loop_to_s) at_ -= note_.loop_to_s - note_.loop_from_s;
    return value;
  }

 private:
  double recorded_hz() const {
    const double place = at_ / MeasuredNote::step_s;
    const auto k = std::min(static_cast<std::size_t>(place), note_.track.size() - 2);
    const double part = place - static_cast<double>(k);
    return (1 - part) * note_.track[k] + part * note_.track[k + 1];
  }
  double sample(double seconds) const {
    const double place = seconds * note_.audio.rate;
    const auto i = static_cast<std::size_t>(place);
    if (i + 1 >= note_.audio.samples.size()) return 0;
    const double part = place - static_cast<double>(i);
    return (1 - part) * note_.audio.samples[i] + part * note_.audio.samples[i + 1];
  }
  double mixed() const {
    const double left = note_.loop_to_s - at_;
    if (left > join_s) return sample(at_);
    const double part = 1 - left / join_s;
    const double earlier = at_ - (note_.loop_to_s - note_.loop_from_s);
    return (1 - part) * sample(at_) + part * sample(earlier);
  }

  const MeasuredNote& note_;
  double at_;
};

class SampledString final : public Sound {
 public:
  explicit SampledString(const std::vector<RecordedNote>& recorded) {
    for (const auto& note : recorded) {
      if (auto measured = measure_note(note)) notes_.push_back(std::move(*measured));
    }
    assert(!notes_.empty());
  }

  void add(const Stroke& stroke, Random random, Audio& out) const override {
    const StrokeShape shape(stroke, random.fork());
    const auto& note = nearest(stroke);
    Reader reader(note);
    BowNoise noise;
    const int rate = out.rate;
    const double hiss = std::pow(10.0, stroke.bow_noise_db / 20);
    const auto begin = static_cast<std::size_t>(shape.begin_s() * rate);
    const auto end =
        std::min(out.samples.size(), static_cast<std::size_t>(shape.end_s() * rate) + 1);
    Controls now = controls(shape, begin, rate, random);
    for (std::size_t from = begin; from < end; from += block) {
      const Controls next = controls(shape, from + block, rate, random);
      for (std::size_t i = from; i < std::min(end, from + block); ++i) {
        const double part = static_cast<double>(i - from) / block;
        const double hz = now.hz + (next.hz - now.hz) * part;
        const double level = now.level + (next.level - now.level) * part;
        const double rough = now.hiss + (next.hiss - now.hiss) * part;
        out.samples[i] += static_cast<float>(level * reader.next(hz, rate) +
                                             0.2 * hiss * rough * noise.next(random));
      }
      now = next;
    }
  }

 private:
  static constexpr std::size_t block = 32;
  struct Controls {
    double hz, level, hiss;
  };

  static Controls controls(const StrokeShape& shape, std::size_t sample, int rate, Random& random) {
    const double t = static_cast<double>(sample) / rate;
    const double scratch = shape.scratch(t);
    const double level = shape.level(t) * (1 - 0.6 * scratch * random.uniform());
    const double hiss = shape.bow(t) * (1 + 2.5 * (1 - level)) * (1 + 30 * scratch);
    return {shape.hz(t), level, hiss};
  }

  const MeasuredNote& nearest(const Stroke& stroke) const {
    double mean = 0;
    for (const auto& note : stroke.notes) mean += std::log2(note.hz);
    mean /= static_cast<double>(stroke.notes.size());
    return *std::min_element(notes_.begin(), notes_.end(), [&](const auto& a, const auto& b) {
      return std::abs(std::log2(a.hz) - mean) < std::abs(std::log2(b.hz) - mean);
    });
  }

  std::vector<MeasuredNote> notes_;
};

}  // namespace

std::unique_ptr<Sound> sampled_string(const std::vector<RecordedNote>& notes) {
  return std::make_unique<SampledString>(notes);
}

}  // namespace endpin::simulator
