#include "measure/between.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "measure/open_strings.h"

namespace endpin::listen {
namespace {

// Ours, on the side of "other": nothing is judged by these.
constexpr float beat_evidence = 1.0F;
constexpr double beats_apart_s = 0.15, even_within = 0.12, tempo_within = 0.2;
constexpr std::size_t fewest_beats = 3, most_beats = 8;
constexpr float voiced = 0.2F;
constexpr double held_s = 0.25;  // a vowel seldom keeps one semitone that long
constexpr double mostly_held = 0.5, seldom_held = 0.35, some_voice = 0.15, mostly_silent = 0.8;

// Beginnings of sound between two times, the strongest of each `beats_apart_s`.
std::vector<double> beginnings(const Aligned& a, double from_s, double to_s) {
  const SoundFeatures& sound = a.seen.sound();
  const double step = sound.step_s;
  std::vector<double> at;
  float strength = 0;
  for (auto f = static_cast<std::size_t>(from_s / step);
       f < sound.onset_evidence.size() && static_cast<double>(f) * step < to_s - 0.05; ++f) {
    const float now = sound.onset_evidence[f];
    const std::size_t frame = std::min(a.seen.frames() - 1, f / 2 + 2);
    if (now < beat_evidence || a.seen.quiet(frame)) continue;
    const double s = static_cast<double>(f) * step;
    if (!at.empty() && s - at.back() < beats_apart_s) {
      if (now > strength) at.back() = s, strength = now;
    } else {
      at.push_back(s), strength = now;
    }
  }
  return at;
}

bool near(double a, double b, double within) { return std::abs(a / b - 1) < within; }

bool is_beat(double distance, double beat_s) {
  return near(distance, beat_s, tempo_within) || near(distance, 2 * beat_s, tempo_within) ||
         near(distance, 0.5 * beat_s, tempo_within);
}

// How many of the last beginnings stand `distance` apart, the last so far before `to_s`; no more
// than anybody counts, for in long talk some syllable begins near every beat.
std::size_t even_beats(const std::vector<double>& at, double to_s, double distance,
                       double& first_s) {
  std::size_t count = 0;
  double expected = to_s - distance;
  for (std::size_t i = at.size(); i-- > 0 && count < most_beats;) {
    if (at[i] < expected - even_within * distance) break;
    if (at[i] > expected + even_within * distance) continue;  // a word's second syllable
    first_s = at[i];
    expected = at[i] - distance;
    ++count;
  }
  return count;
}

struct Sounding {
  std::size_t all = 0, quiet = 0, voiced = 0, held = 0, open = 0;
};

bool is_open(int midi, std::string_view instrument) {
  const auto* strings = open_strings(instrument);
  return strings && std::any_of(strings->begin(), strings->end(),
                                [&](const OpenString& s) { return std::abs(midi - s.midi) <= 1; });
}

Sounding listen_between(const Aligned& a, double from_s, double to_s, std::string_view instrument) {
  const double step = a.seen.step_s();
  const auto long_run = static_cast<std::size_t>(held_s / step);
  Sounding s;
  std::size_t run = 0;
  int before = -1;
  const auto end_run = [&] {
    if (run < long_run) return;
    s.held += run;
    if (is_open(before, instrument)) s.open += run;
  };
  for (auto f = static_cast<std::size_t>(from_s / step);
       f < a.seen.frames() && static_cast<double>(f) * step < to_s; ++f) {
    ++s.all;
    s.quiet += a.seen.quiet(f);
    const bool sounds = !a.seen.quiet(f) && a.seen.pitch().best(f) > voiced;
    s.voiced += sounds;
    const int midi = sounds ? a.seen.pitch().best_midi(f) : -1;
    if (midi != before) end_run(), run = 0;
    before = midi;
    run = midi >= 0 ? run + 1 : 0;
  }
  end_run();
  return s;
}

}  // namespace

std::optional<double> count_in_start(const Aligned& a, double from_s, double to_s, double beat_s) {
  const auto at = beginnings(a, from_s, to_s);
  for (std::size_t i = at.size(); i-- > 0;) {
    const double distance = to_s - at[i];
    if (distance > 2.5 * beat_s) break;
    if (!is_beat(distance, beat_s)) continue;
    double first_s = at[i];
    if (even_beats(at, to_s, distance, first_s) >= fewest_beats) return first_s;
  }
  return std::nullopt;
}

SegmentKind what_sounds(const Aligned& a, double from_s, double to_s, std::string_view instrument) {
  const Sounding s = listen_between(a, from_s, to_s, instrument);
  const auto share = [](std::size_t part, std::size_t of) {
    return of > 0 ? static_cast<double>(part) / static_cast<double>(of) : 0;
  };
  if (share(s.quiet, s.all) > mostly_silent) return SegmentKind::silence;
  const std::size_t loud = s.all - s.quiet;
  if (share(s.held, loud) > mostly_held && share(s.open, s.held) > mostly_held) {
    return SegmentKind::tuning;
  }
  const bool no_pitch_held = share(s.held, loud) < seldom_held;
  return no_pitch_held && share(s.voiced, loud) > some_voice ? SegmentKind::talk
                                                             : SegmentKind::other;
}

}  // namespace endpin::listen
