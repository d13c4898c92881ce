#pragma once

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "endpin/base/audio.h"
#include "endpin/base/pitch.h"

/// What is heard in a performance, measured by other means than those that made it.
namespace endpin::ears {

inline std::span<const float> between(const Audio& audio, double from, double to) {
  const auto size = audio.samples.size();
  const auto a = std::min(size, static_cast<std::size_t>(std::max(0.0, from) * audio.rate));
  const auto b = std::min(size, static_cast<std::size_t>(std::max(0.0, to) * audio.rate));
  return std::span(audio.samples).subspan(a, b > a ? b - a : 0);
}

/// Root mean square from `from` to `to` seconds.
inline double rms(const Audio& audio, double from, double to) {
  double sum = 0;
  const auto part = between(audio, from, to);
  for (const float s : part) sum += static_cast<double>(s) * s;
  return std::sqrt(sum / static_cast<double>(std::max<std::size_t>(part.size(), 1)));
}

inline double decibels(double ratio) { return 20 * std::log10(std::max(ratio, 1e-9)); }

/// Mean absolute value: at the middle of a rise it is half of what comes after, however wide the
/// window is (a root mean square would be there early).
inline double mean_level(const Audio& audio, double from, double to) {
  double sum = 0;
  const auto part = between(audio, from, to);
  for (const float s : part) sum += std::abs(s);
  return sum / static_cast<double>(std::max<std::size_t>(part.size(), 1));
}

/// Level around `t`: a window of one and a half periods, 10 ms at least.
inline double level_at(const Audio& audio, double t, double f) {
  const double half = std::max(0.005, 0.75 / f);
  return mean_level(audio, t - half, t + half);
}

/// Going back from `inside` the note, where its level was last below half of `settled`; `earliest`
/// if nowhere.
inline double rise_time(const Audio& audio, double inside, double earliest, double settled,
                        double f) {
  for (double t = inside; t > earliest; t -= 0.0005) {
    if (level_at(audio, t, f) < settled / 2) return t;
  }
  return earliest;
}

/// Going on from `inside` the note, where its level first falls below half of `settled`.
inline double fall_time(const Audio& audio, double inside, double latest, double settled,
                        double f) {
  for (double t = inside; t < latest; t += 0.0005) {
    if (level_at(audio, t, f) < settled / 2) return t;
  }
  return latest;
}

/// Mean deviation from MIDI number `midi`, by the largest normalised autocorrelation near the
/// period that is expected, in windows of 30 ms (three periods at least) every 10 ms (McLeod &
/// Wyvill 2005).
inline double mean_cents(const Audio& audio, double from, double to, int midi) {
  const double period = audio.rate / frequency(midi).value();
  const int periods = std::max(1, static_cast<int>(0.006 * audio.rate / period));
  const double expected = periods * period;
  const auto width = static_cast<std::size_t>(std::max(0.03 * audio.rate, 3 * period));
  const auto low = static_cast<std::size_t>(expected * 0.975);
  const auto high = static_cast<std::size_t>(expected * 1.025) + 2;
  double sum = 0;
  int count = 0;
  const auto part = between(audio, from, to);
  for (std::size_t at = 0; at + width + high < part.size(); at += audio.rate / 100) {
    std::vector<double> alike;
    for (std::size_t lag = low; lag <= high; ++lag) {
      double product = 0;
      double energy = 1e-12;
      for (std::size_t i = at; i < at + width; ++i) {
        product += static_cast<double>(part[i]) * part[i + lag];
        energy += static_cast<double>(part[i]) * part[i] +
                  static_cast<double>(part[i + lag]) * part[i + lag];
      }
      alike.push_back(2 * product / energy);
    }
    const auto best =
        static_cast<std::size_t>(std::max_element(alike.begin(), alike.end()) - alike.begin());
    if (best == 0 || best + 1 == alike.size()) continue;
    const double shift = 0.5 * (alike[best - 1] - alike[best + 1]) /
                         (alike[best - 1] - 2 * alike[best] + alike[best + 1]);
    sum += -1200 * std::log2((static_cast<double>(low + best) + shift) / expected);
    ++count;
  }
  return count > 0 ? sum / count : 1000;
}

}  // namespace endpin::ears
