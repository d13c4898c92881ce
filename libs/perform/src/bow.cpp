#include "bow.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace endpin {
namespace {

// Chosen by ear, within what is known of strokes: a good attack settles within 50 to 90 ms
// (Guettler & Askenfelt 1997), a slur has no dip.
constexpr double attack_s = 0.024;   // of the bow; the string's own speaking is in the tone
constexpr double release_s = 0.050;  // the string rings on a little after the bow
constexpr double change_s = 0.030;   // where the next stroke follows at once
constexpr double join_s = 0.030;
constexpr double damp_s = 0.120;  // a plucked string under a lifted finger
constexpr double taper = 0.16;    // the end of a stroke is 1.5 dB softer than its beginning
constexpr double shortest_ramp_s = 0.004;

double raised_cosine(double x) {
  return x <= 0 ? 0 : x >= 1 ? 1 : 0.5 - 0.5 * std::cos(std::numbers::pi * x);
}
double equal_power(double x) {
  return x <= 0 ? 0 : x >= 1 ? 1 : std::sin(std::numbers::pi / 2 * x);
}

/// A rise or fall: where it begins and how long it takes, in seconds of the performance.
struct Ramp {
  double from = 0;
  double length = 1;
  double at(double t) const { return (t - from) / length; }
};

struct Shape {
  Ramp rise, fall;
  double begin() const { return rise.from; }
  double end() const { return fall.from + fall.length; }
};

Shape shape_of(const PerformedNote& note) {
  const double start = note.start.value();
  const double end = note.end.value();
  const double sounding = end - start;
  const double ramp = std::max(shortest_ramp_s, std::min(sounding / 2, 1.0));
  Shape shape;
  const double rise = note.joined_before ? std::min(join_s, ramp) : std::min(attack_s, ramp);
  // The first note of all may begin at 0: there is no time before it.
  const double before = std::min(rise / 2, start);
  shape.rise = {start - before, std::max(2 * before, shortest_ramp_s)};
  if (note.technique == Technique::plucked) {
    shape.rise = {start, 0.0005};
    shape.fall = {std::max(end, start + 0.05), damp_s};
  } else if (note.joined_after) {
    const double length = std::min(join_s, ramp);
    shape.fall = {end - length / 2, length};
  } else {
    const double length =
        std::min(ramp, end + release_s / 2 > note.value_end.value() ? change_s : release_s);
    // The next stroke may begin at once: by then this one is over.
    shape.fall = {std::min(end + length / 2, note.value_end.value()) - length, length};
  }
  return shape;
}

}  // namespace

std::size_t tone_samples(const PerformedNote& note) {
  const Shape shape = shape_of(note);
  const double lead = note.joined_before ? 0.2 : 0;
  return static_cast<std::size_t>((shape.end() - shape.begin() + lead) * performance_rate) + 64;
}

void add_note(std::span<float> out, const PerformedNote& note, const StringTone& tone) {
  const Shape shape = shape_of(note);
  const std::size_t skip = note.joined_before ? tone.settled : 0;
  const auto first = static_cast<std::ptrdiff_t>(std::ceil(shape.begin() * performance_rate));
  const auto last = static_cast<std::ptrdiff_t>(shape.end() * performance_rate);
  const double sounding = std::max(1e-3, note.end.value() - note.start.value());
  for (std::ptrdiff_t i = std::max<std::ptrdiff_t>(first, 0); i <= last; ++i) {
    const std::size_t from = skip + static_cast<std::size_t>(i - first);
    if (i >= static_cast<std::ptrdiff_t>(out.size()) || from >= tone.samples.size()) break;
    const double t = static_cast<double>(i) / performance_rate;
    const double rise =
        note.joined_before ? equal_power(shape.rise.at(t)) : raised_cosine(shape.rise.at(t));
    const double fall =
        note.joined_after ? equal_power(1 - shape.fall.at(t)) : raised_cosine(1 - shape.fall.at(t));
    const double along = std::clamp((t - note.start.value()) / sounding, 0.0, 1.0);
    const double bowing = note.technique == Technique::bowed ? 1 - taper * along : 1;
    out[static_cast<std::size_t>(i)] +=
        static_cast<float>(note.gain * rise * fall * bowing * tone.samples[from]);
  }
}

}  // namespace endpin
