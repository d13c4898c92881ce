#include <algorithm>
#include <cmath>

#include "endpin/base/pitch.h"
#include "endpin/simulator/sampled_string.h"

namespace endpin::simulator {
namespace {

constexpr double even_s = 0.1;      // level is evened out over as long
constexpr double compare_s = 0.03;  // stretch of waveform that a loop compares

std::vector<double> smoothed_level(const Audio& audio) {
  const auto window = static_cast<std::size_t>(even_s * audio.rate);
  std::vector<double> level(audio.samples.size());
  double power = 0;
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    power += static_cast<double>(audio.samples[i]) * audio.samples[i];
    if (i >= window) {
      power -= static_cast<double>(audio.samples[i - window]) * audio.samples[i - window];
    }
    const auto centre = i >= window / 2 ? i - window / 2 : 0;
    level[centre] = std::sqrt(std::max(power, 0.0) / static_cast<double>(window));
  }
  return level;
}

/// Likeness of the waveform at `a` and at `b`, -1…1.
double likeness(const Audio& audio, std::size_t a, std::size_t b, std::size_t count) {
  double ab = 0;
  double aa = 1e-12;
  double bb = 1e-12;
  for (std::size_t i = 0; i < count; ++i) {
    const double x = audio.samples[a + i];
    const double y = audio.samples[b + i];
    ab += x * y;
    aa += x * x;
    bb += y * y;
  }
  return ab / std::sqrt(aa * bb);
}

/// Lags to look for: `periods` periods of `hz`, give or take `range` semitones.
struct Lags {
  Lags(double hz, double range, int count, int rate)
      : periods(count),
        least(static_cast<std::size_t>(count * rate / hz / std::exp2(range / 12))),
        most(static_cast<std::size_t>(count * rate / hz * std::exp2(range / 12)) + 2) {}
  int periods;
  std::size_t least, most;
};

/// Frequency at a place: the lag of greatest likeness over a window, refined by a parabola.
/// REQUIRES: `at + window + most + 1` lies within the sound.
double hz_at(const Audio& audio, std::size_t at, std::size_t window, const Lags& lags) {
  std::size_t best = lags.least + 1;
  double best_value = -2;
  for (std::size_t lag = lags.least + 1; lag < lags.most; ++lag) {
    const double value = likeness(audio, at, at + lag, window);
    if (value > best_value) best_value = value, best = lag;
  }
  const double left = likeness(audio, at, at + best - 1, window);
  const double right = likeness(audio, at, at + best + 1, window);
  const double bend = left - 2 * best_value + right;
  const double shift = bend < 0 ? 0.5 * (left - right) / bend : 0;
  return lags.periods * audio.rate / (static_cast<double>(best) + std::clamp(shift, -0.5, 0.5));
}

double middle(std::vector<double> values) {
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2),
                   values.end());
  return values[values.size() / 2];
}

/// Frequency within `range` semitones of `hz`: the median over windows through the stretch; 0 where
/// it is too short.
double pitch_of(const Audio& audio, double hz, double range, int periods, std::size_t from,
                std::size_t to) {
  const Lags lags(hz, range, periods, audio.rate);
  const auto window = static_cast<std::size_t>(0.06 * audio.rate);
  std::vector<double> found;
  for (std::size_t at = from; at + window + lags.most + 1 < to; at += window / 2) {
    found.push_back(hz_at(audio, at, window, lags));
  }
  return found.empty() ? 0 : middle(found);
}

/// The way the pitch goes round `hz`, one value each `MeasuredNote::step_s`, from the sound's start
/// on. Windows of 40 ms in all, two periods at least, so that a vibrato shows; a median over three
/// takes out single slips. Outside the tone: `hz`.
std::vector<double> pitch_track(const Audio& audio, double hz, std::size_t from, std::size_t to) {
  const Lags lags(hz, 1, std::max(1, static_cast<int>(hz * 0.01)), audio.rate);
  const auto window = static_cast<std::size_t>(std::max(0.03, 2 / hz) * audio.rate);
  const auto step = static_cast<std::size_t>(MeasuredNote::step_s * audio.rate);
  std::vector<double> raw(audio.samples.size() / step + 1, hz);
  const std::size_t half = (window + lags.most) / 2;
  for (std::size_t k = from / step + 1; k < raw.size() && k * step + half + 2 < to; ++k) {
    if (k * step >= half + from) raw[k] = hz_at(audio, k * step - half, window, lags);
  }
  auto track = raw;
  for (std::size_t k = 1; k + 1 < raw.size(); ++k) {
    track[k] = middle({raw[k - 1], raw[k], raw[k + 1]});
  }
  return track;
}

void even_out(Audio& audio, const std::vector<double>& level, double floor) {
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    audio.samples[i] *= static_cast<float>(0.2 / std::max(level[i], floor));
  }
}

}  // namespace

std::optional<MeasuredNote> measure_note(const RecordedNote& note) {
  MeasuredNote out{note.audio, 0, {}, 0, 0, 0};
  const auto level = smoothed_level(note.audio);
  auto sorted = level;
  std::sort(sorted.begin(), sorted.end());
  const double loud = sorted[sorted.size() * 3 / 4];
  const auto start = static_cast<std::size_t>(
      std::find_if(level.begin(), level.end(), [&](double l) { return l > 0.5 * loud; }) -
      level.begin());
  std::size_t end = start;
  while (end < level.size() && level[end] > 0.25 * loud) ++end;
  const int rate = note.audio.rate;
  const auto second = static_cast<std::size_t>(rate);
  if (end < start + second) return std::nullopt;
  even_out(out.audio, level, 0.1 * loud);
  const auto loop_from = start + second / 4;
  const auto loop_end = std::min(end - second / 8, loop_from + 3 * second);
  // Rough first, a semitone and a half around the label; then fine around what was found.
  const double rough = frequency(note.midi).value();
  const double near = pitch_of(out.audio, rough, 1.5, 1, loop_from, loop_end);
  if (near <= 0) return std::nullopt;
  const int periods = std::max(1, static_cast<int>(near * 0.02));
  out.hz = pitch_of(out.audio, near, 0.3, periods, loop_from, loop_end);
  out.track = pitch_track(out.audio, out.hz, start, std::min(level.size(), loop_end + second / 8));
  const auto count = static_cast<std::size_t>(compare_s * rate);
  double best = -2;
  std::size_t loop_to = loop_end - count - 1;
  const auto period = static_cast<std::size_t>(rate / out.hz) + 1;
  for (std::size_t at = loop_end - count - 4 * period; at + count < loop_end; ++at) {
    const double value = likeness(out.audio, loop_from, at, count);
    if (value > best) best = value, loop_to = at;
  }
  out.start_s = static_cast<double>(start) / rate;
  out.loop_from_s = static_cast<double>(loop_from) / rate;
  out.loop_to_s = static_cast<double>(loop_to) / rate;
  return out;
}

}  // namespace endpin::simulator
