#include <algorithm>
#include <cmath>
#include <numbers>

#include "endpin/simulator/sound.h"

namespace endpin::simulator {
namespace {

constexpr double turn_s = 0.07;  // the bow slows down, turns and takes hold of the string again
constexpr double release_s = 0.045;
constexpr double tenth = 0.2048;  // a raised cosine has risen to 0.1 after this share of its way
constexpr double stopped_ring = 0.12;
constexpr double stopped_ring_s = 0.05;
constexpr double open_ring = 0.3;
constexpr double open_ring_s = 0.3;
constexpr double damping_s = 0.02;
constexpr double wobble_step_s = 0.02;

double rise(double x) {
  const double inside = std::clamp(x, 0.0, 1.0);
  return 0.5 - 0.5 * std::cos(std::numbers::pi * inside);
}

StrokeNote stroke_note(const PlayedNote& note, Hertz a4) {
  const Hertz hz = transpose(frequency(note.midi, a4), Cents(note.cents));
  return {note.onset.value(), note.offset.value(), hz.value(),   std::pow(10.0, note.level_db / 20),
          note.vibrato,       note.scratch,        note.glide_s, note.turn_db,
          note.swell_db};
}

double next_on_string(const Performance& performance, std::size_t i) {
  const auto& note = performance.notes[i];
  for (std::size_t j = i + 1; j < performance.notes.size(); ++j) {
    const auto& next = performance.notes[j];
    if (next.string == note.string && next.onset > note.onset) return next.onset.value();
  }
  return 1e9;
}

Stroke touched_string(const PlayedNote& note, const Performance& performance) {
  Stroke touch;
  PlayedNote open = note;
  open.midi = *note.touched;
  open.cents = 0;
  open.level_db -= 8;
  open.vibrato = {};
  open.onset += Seconds(0.08);
  open.offset = open.onset + Seconds(0.12);
  touch.notes = {stroke_note(open, performance.a4)};
  touch.rings = true;
  touch.bow_noise_db = performance.bow_noise_db;
  return touch;
}

}  // namespace

std::vector<Stroke> strokes_of(const Performance& performance) {
  std::vector<Stroke> strokes;
  for (std::size_t i = 0; i < performance.notes.size(); ++i) {
    const auto& note = performance.notes[i];
    if ((note.joined || note.turn_db > 0) && !strokes.empty()) {
      strokes.back().notes.back().to_s = note.onset.value();
    } else {
      strokes.emplace_back();
      strokes.back().attack_s = note.attack_s;
      strokes.back().plucked = note.plucked;
      strokes.back().bow_noise_db = performance.bow_noise_db;
    }
    strokes.back().notes.push_back(stroke_note(note, performance.a4));
    strokes.back().rings = note.open;
    strokes.back().damped_s = next_on_string(performance, i);
  }
  for (const auto& note : performance.notes) {
    if (note.touched) strokes.push_back(touched_string(note, performance));
  }
  return strokes;
}

StrokeShape::StrokeShape(const Stroke& stroke, Random random) : stroke_(stroke) {
  double value = 0;  // a slow unsteadiness of two or three cents
  for (double t = begin_s(); t < end_s() + wobble_step_s; t += wobble_step_s) {
    const double rough = 1 + 12 * scratch(t);
    value = 0.8 * value + 1.3 * rough * random.normal();
    wobble_.push_back(value);
  }
  wobble_.push_back(0);
}

double StrokeShape::begin_s() const {
  return std::max(0.0, stroke_.notes.front().from_s - tenth * stroke_.attack_s);
}
double StrokeShape::end_s() const {
  const double ring = stroke_.plucked ? 2.0 : 6 * (stroke_.rings ? open_ring_s : stopped_ring_s);
  return std::min(stroke_.notes.back().to_s + ring, stroke_.damped_s + damping_s + release_s);
}

std::size_t StrokeShape::note_at(double t) const {
  std::size_t i = 0;
  while (i + 1 < stroke_.notes.size() && t >= stroke_.notes[i + 1].from_s) ++i;
  return i;
}

double StrokeShape::hz(double t) const {
  const auto i = note_at(t);
  const auto& note = stroke_.notes[i];
  double cents = 0;
  if (i > 0) {  // the way up to here, second half
    const double x = 0.5 + (t - note.from_s) / note.glide_s;
    cents += (1 - rise(x)) * 1200 * std::log2(stroke_.notes[i - 1].hz / note.hz);
  }
  if (i + 1 < stroke_.notes.size()) {  // the way on, first half
    const auto& next = stroke_.notes[i + 1];
    const double x = 0.5 + (t - next.from_s) / next.glide_s;
    cents += rise(x) * 1200 * std::log2(next.hz / note.hz);
  }
  const auto& v = note.vibrato;
  if (v.extent_cents > 0 && t < note.to_s) {
    const double in = rise((t - note.from_s) / 0.12);
    const double phase = 2 * std::numbers::pi * v.rate_hz * (t - note.from_s) + v.phase;
    cents += 0.5 * v.extent_cents * in * std::sin(phase);
  }
  const double place = std::max(0.0, (t - begin_s()) / wobble_step_s);
  const auto k = std::min(static_cast<std::size_t>(place), wobble_.size() - 2);
  const double part = std::min(1.0, place - static_cast<double>(k));
  cents += wobble_[k] + part * (wobble_[k + 1] - wobble_[k]);
  return note.hz * std::exp2(cents / 1200);
}

/// 1, but less where the bow turns: at note `i`'s beginning and at its end.
double StrokeShape::turning(std::size_t i, double t) const {
  double db = 0;
  for (std::size_t k = i; k < std::min(i + 2, stroke_.notes.size()); ++k) {
    const auto& note = stroke_.notes[k];
    db += note.turn_db * (1 - rise(std::abs(t - note.from_s) / (0.5 * turn_s)));
  }
  return std::pow(10.0, -db / 20);
}

/// What a note's level becomes between its beginning and its end.
double StrokeShape::swell(std::size_t i, double t) const {
  const auto& note = stroke_.notes[i];
  const double place = (t - note.from_s) / std::max(note.to_s - note.from_s, 1e-3);
  return std::pow(10.0, note.swell_db * (std::clamp(place, 0.0, 1.0) - 0.5) / 20);
}

double StrokeShape::bow(double t) const {
  const double attack = rise(tenth + (t - stroke_.notes.front().from_s) / stroke_.attack_s);
  const double end = stroke_.notes.back().to_s;
  const double shorter = std::min(release_s, 0.5 * (end - stroke_.notes.front().from_s));
  return attack * (1 - rise(1 - tenth + (t - end) / shorter));
}

double StrokeShape::level(double t) const {
  const auto i = note_at(t);
  const double here = stroke_.notes[i].level * swell(i, t) * turning(i, t);
  const double end = stroke_.notes.back().to_s;
  const double damped = 1 - rise((t - stroke_.damped_s) / damping_s);
  if (stroke_.plucked) {
    const double begin = stroke_.notes.front().from_s;
    const double tau = stroke_.rings ? 0.6 : 0.25;
    const double attack = rise(tenth + (t - begin) / 0.006);
    return here * damped * attack * std::exp(-std::max(0.0, t - begin) / tau);
  }
  const double before = i > 0 ? stroke_.notes[i - 1].level * swell(i - 1, t) * turning(i, t) : here;
  const double settled = before + (here - before) * rise((t - stroke_.notes[i].from_s) / 0.06);
  const double ring = stroke_.rings ? open_ring : stopped_ring;
  const double ring_s = stroke_.rings ? open_ring_s : stopped_ring_s;
  const double tail = t > end - release_s ? ring * std::exp(-std::max(0.0, t - end) / ring_s) : 0;
  const double bowed = bow(t);
  const bool released = t > end - release_s;
  return settled * (released ? std::max(bowed, std::min(tail, 1.0) * damped) : bowed);
}

double StrokeShape::scratch(double t) const { return stroke_.notes[note_at(t)].scratch; }

}  // namespace endpin::simulator
