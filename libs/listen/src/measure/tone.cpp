#include "measure/tone.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "quantiles.h"

namespace endpin::listen {
namespace {

constexpr int partials_used = 8;
// Of 255, sixth roots of power: 30 dB below the frame's strongest partial; one of those used must
// lie above 16 dB below it, or all of them may be side lobes and noise.
constexpr double least_weight = 80, strong_weight = 140;
constexpr double widest_cents = 75;  // between this note and the next semitone
constexpr double window_s = 0.08;    // of the analysis: frames closer than that are not independent
constexpr double one_slip_cents = 40;  // an octave's slip, a neighbour's partial

struct Place {
  double cents, weight;
  bool strong = false;
};

bool shared(int midi, int h, std::span<const int> others) {
  const double at = midi + 12 * std::log2(h);
  return std::any_of(others.begin(), others.end(), [&](int other) {
    if (other == midi) return false;
    const double ratio = std::exp2((at - other) / 12);
    return ratio > 0.9 && std::abs(std::log2(ratio / std::round(ratio))) * 1200 < 50;
  });
}

// The clearest partial near harmonic h.
std::optional<Place> partial_near(std::span<const SmallPartial> partials, int midi, int h,
                                  double shift_cents) {
  const double target = midi + 12 * std::log2(h) + shift_cents / 100;
  std::optional<Place> best;
  for (const SmallPartial& p : partials) {
    const double cents = 100 * (partial_midi(p) - target);
    if (std::abs(cents) > widest_cents) continue;
    if (!best || p.weight > best->weight) best = Place{cents, static_cast<double>(p.weight)};
  }
  return best;
}

double weighted_middle(std::vector<Place>& places) {
  std::sort(places.begin(), places.end(),
            [](const Place& a, const Place& b) { return a.cents < b.cents; });
  double all = 0, sum = 0;
  for (const Place& p : places) all += p.weight;
  for (const Place& p : places) {
    sum += p.weight;
    if (sum >= all / 2) return p.cents;
  }
  return 0;
}

struct Frames {
  std::size_t from, to;
};

// Leaves out the attack, in which the pitch is not yet there, and the end, which the window blurs.
Frames settled(const Observations& seen, double from_s, double to_s) {
  const double length = to_s - from_s;
  const double head = std::min(0.07, 0.3 * length), tail = std::min(0.05, 0.25 * length);
  const double step = seen.step_s();
  Frames f{static_cast<std::size_t>(std::ceil(std::max(0.0, from_s + head) / step)),
           static_cast<std::size_t>(std::max(0.0, to_s - tail) / step) + 1};
  f.to = std::min(f.to, seen.frames());
  f.from = std::min(f.from, f.to);
  return f;
}

Frames whole(const Observations& seen, double from_s, double to_s) {
  const double step = seen.step_s();
  const auto to = std::min(seen.frames(), static_cast<std::size_t>(std::max(0.0, to_s) / step) + 1);
  return {std::min(to, static_cast<std::size_t>(std::ceil(std::max(0.0, from_s) / step))), to};
}

double hann_response(double hz) {
  const double x = hz * window_s;
  if (x < 1e-6) return 1;
  const double px = std::numbers::pi * x;
  return std::abs(std::sin(px) / px / (1 - x * x));
}

void count_presence(const Observations& seen, const Event& event, int midi, Frames span,
                    Tone& tone) {
  const PitchEvidence& pitch = seen.pitch();
  std::array<int, 128> rivals{};  // frames of each MIDI number
  double evidence = 0, support = 0;
  int present = 0, frames = 0;
  for (std::size_t f = span.from; f < span.to; ++f) {
    if (seen.quiet(f)) continue;
    ++frames;
    const float behind = pitch.best(f) - pitch.salience(f, midi);
    evidence += std::max(-4.0F, -14.0F * behind);
    support += seen.stands(f, midi);
    present += behind < 0.12F && pitch.salience(f, midi) > 0.1F;
    const int best = pitch.best_midi(f);
    const bool expected = std::binary_search(event.pitches.begin(), event.pitches.end(), best) ||
                          std::binary_search(event.held.begin(), event.held.end(), best);
    if (!expected && pitch.best(f) > 0.2F) ++rivals[static_cast<std::size_t>(best) & 127];
  }
  if (frames == 0) return;
  tone.present = static_cast<double>(present) / frames;
  tone.evidence = evidence / frames;
  tone.support = support / frames;
  int most = 0;
  for (std::size_t rival = 0; rival < rivals.size(); ++rival) {
    if (rivals[rival] > most) most = rivals[rival], tone.rival = static_cast<int>(rival);
  }
  tone.rival_share = static_cast<double>(most) / frames;
}

// Whether a tone that has all partials of `midi`, as an octave below has, sounds alone: its others
// are then no weaker.
bool sounds_alone(std::span<const SmallPartial> partials, int rival, int midi, double shift_cents) {
  const std::array<int, 1> written{midi};
  double own = 0, common = 0;
  for (int h = 1; h <= 6; ++h) {
    const auto p = partial_near(partials, rival, h, shift_cents);
    double& strongest = shared(rival, h, written) ? common : own;
    strongest = std::max(strongest, p ? p->weight : 0);
  }
  return common > 0 && own >= common;
}

// Whether partials of `midi` stand clear that none of `others` has as well, the rival the last of
// them: two, for a string that rings along has one here and there; one, where the others have all
// but one.
bool own_stand_clear(std::span<const SmallPartial> partials, int midi, double shift_cents,
                     std::span<const int> others) {
  int possible = 0, clear = 0;
  for (int h = 1; h <= 5; ++h) {
    if (shared(midi, h, others)) continue;
    ++possible;
    const auto p = partial_near(partials, midi, h, shift_cents);
    // That part of the strongest partial's compressed weight is 21 dB below it.
    clear += p && std::abs(p->cents) < 45 && p->weight > 115;
  }
  if (possible == 0) return !sounds_alone(partials, others.back(), midi, shift_cents);
  return clear >= std::clamp(possible, 1, 2);
}

std::size_t longest_stretch(const Observations& seen, int midi, Frames span) {
  std::size_t run = 0, longest = 0;
  for (std::size_t f = span.from; f < span.to; ++f) {
    run = !seen.quiet(f) && seen.pitch().best_midi(f) == midi ? run + 1 : 0;
    longest = std::max(longest, run);
  }
  return longest;
}

void follow_rival(const Observations& seen, int midi, std::span<const int> nearby, Frames span,
                  double shift_cents, Tone& tone) {
  std::vector<int> others(nearby.begin(), nearby.end());
  others.push_back(tone.rival);
  std::erase(others, midi);
  std::size_t own = 0, frames = 0;
  double lead = 0;
  for (std::size_t f = span.from; f < span.to; ++f) {
    if (seen.quiet(f)) continue;
    ++frames;
    lead += seen.pitch().salience(f, tone.rival) - seen.pitch().salience(f, midi);
    const auto partials = seen.sound().partials_at(f);
    own += own_stand_clear(partials, midi, shift_cents, others);
  }
  if (frames == 0) return;
  tone.rival_lead = lead / static_cast<double>(frames);
  tone.own_partials = static_cast<double>(own) / static_cast<double>(frames);
}

// Middle of a rival's own deviations, where it can be followed through most frames.
std::optional<Cents> rival_intonation(const Observations& seen, int rival, Frames span,
                                      double shift_cents) {
  std::vector<double> track;
  for (std::size_t f = span.from; f < span.to; ++f) {
    if (seen.quiet(f)) continue;
    const auto d = frame_deviation(seen.sound().partials_at(f), rival, shift_cents, {});
    if (d) track.push_back(*d);
  }
  if (track.size() * 2 < span.to - span.from || track.empty()) return std::nullopt;
  return Cents(middle_of(std::move(track)));
}

constexpr int odd_up_to = 11;
// Of 255: what two partials have between which one is missed; 24 dB above what counts as none.
constexpr double around_weight = 110, no_weight = 40;

// Decibels by which that odd partial of `midi` that stands out most lies below the weaker of its
// neighbours; 0 where no two of those stand clear. A weight is a sixth root of power.
double odd_missing_db(std::span<const SmallPartial> partials, int midi, double shift_cents) {
  std::array<double, odd_up_to + 2> weights{};
  for (int h = 1; h <= odd_up_to + 1; ++h) {
    const auto p = partial_near(partials, midi, h, shift_cents);
    weights[static_cast<std::size_t>(h)] = p && std::abs(p->cents) < 45 ? p->weight : 0;
  }
  std::optional<double> least;
  for (std::size_t h = 1; h <= odd_up_to; h += 2) {
    const double around = h == 1 ? weights[2] : std::min(weights[h - 1], weights[h + 1]);
    if (around < around_weight) continue;
    const double missing = 60 * std::log10(around / std::max(weights[h], no_weight));
    least = std::min(least.value_or(missing), missing);
  }
  return least.value_or(0);
}

void compare_octaves(const Observations& seen, int midi, Frames span, double shift_cents,
                     Tone& tone) {
  const bool above = tone.rival > midi;
  std::vector<double> missing;
  for (std::size_t f = span.from; f < span.to; ++f) {
    if (seen.quiet(f)) continue;
    const auto partials = seen.sound().partials_at(f);
    missing.push_back(odd_missing_db(partials, std::min(midi, tone.rival), shift_cents));
  }
  if (missing.empty()) return;
  tone.odd_missing_db = quantile(std::move(missing), above ? 0.2 : 0.8);
}

void measure_intonation(const std::vector<double>& track, double step_s, Tone& tone) {
  if (track.size() < 3) return;
  const double middle = middle_of(track);
  double sum = 0, squares = 0, first_half = 0;
  int count = 0, in_first_half = 0;
  for (std::size_t i = 0; i < track.size(); ++i) {
    const double c = track[i];
    if (std::abs(c - middle) > one_slip_cents) continue;
    sum += c, squares += c * c, ++count;
    if (i < track.size() / 2) first_half += c, ++in_first_half;
  }
  const double mean = sum / count;
  const double variance = std::max(0.0, squares / count - mean * mean);
  const double independent = std::max(1.0, count * step_s / window_s);
  const double drift =
      in_first_half > 0 && in_first_half < count
          ? (sum - first_half) / (count - in_first_half) - first_half / in_first_half
          : 0;
  tone.intonation = Cents(mean);
  // Frames that could not be told may lie as far off as the others do.
  const double missing = 1 - tone.tracked;
  tone.uncertainty = Cents(
      std::sqrt(1.0 + variance / independent + drift * drift / 4 + missing * missing * variance));
}

}  // namespace

std::optional<double> frame_deviation(std::span<const SmallPartial> partials, int midi,
                                      double shift_cents, std::span<const int> others) {
  std::vector<Place> own, all;
  double weight = 1;
  for (int h = 1; h <= partials_used; ++h, weight *= 0.9) {
    const auto p = partial_near(partials, midi, h, shift_cents);
    if (!p || p->weight < least_weight) continue;
    all.push_back({p->cents, p->weight * weight, p->weight > strong_weight});
    if (!shared(midi, h, others)) own.push_back(all.back());
  }
  std::vector<Place>& used = own.size() >= 2 ? own : all;
  if (used.empty() || (used.size() < 2 && midi < 84)) return std::nullopt;
  if (std::none_of(used.begin(), used.end(), [](const Place& p) { return p.strong; })) {
    return std::nullopt;
  }
  const double middle = weighted_middle(used);
  double sum = 0, total = 0;
  for (const Place& p : used) {
    if (std::abs(p.cents - middle) > 12) continue;
    sum += p.cents * p.weight, total += p.weight;
  }
  return sum / total;
}

std::optional<Vibrato> find_vibrato(std::span<const double> cents, double step_s) {
  const double seconds = static_cast<double>(cents.size()) * step_s;
  if (seconds < 0.4) return std::nullopt;
  // The slow part of the track is taken off: a straight line over the whole note, least squares.
  double mean = 0, slope = 0, spread = 0;
  const double centre = 0.5 * (static_cast<double>(cents.size()) - 1);
  for (double c : cents) mean += c / static_cast<double>(cents.size());
  for (std::size_t i = 0; i < cents.size(); ++i) {
    const double x = static_cast<double>(i) - centre;
    slope += x * cents[i], spread += x * x;
  }
  slope /= spread;
  std::vector<double> rest(cents.size());
  double power = 0;
  for (std::size_t i = 0; i < cents.size(); ++i) {
    rest[i] = cents[i] - mean - slope * (static_cast<double>(i) - centre);
    power += rest[i] * rest[i];
  }
  if (power <= 0) return std::nullopt;
  // Least squares against a sine of each rate from 3.5 to 8.5 Hz.
  double best = 0, best_rate = 0, best_size = 0;
  for (double rate = 3.5; rate <= 8.5; rate += 0.1) {
    double s = 0, c = 0;
    for (std::size_t i = 0; i < rest.size(); ++i) {
      const double phase = 2 * std::numbers::pi * rate * static_cast<double>(i) * step_s;
      s += rest[i] * std::sin(phase), c += rest[i] * std::cos(phase);
    }
    const double size = 2 * std::hypot(s, c) / static_cast<double>(rest.size());
    const double share = size * size / 2 * static_cast<double>(rest.size()) / power;
    if (share > best) best = share, best_rate = rate, best_size = size;
  }
  const double extent = 2 * best_size / hann_response(best_rate);
  if (best < 0.5 || extent < 8 || seconds * best_rate < 2) return std::nullopt;
  return Vibrato{best_rate, Cents(extent)};
}

Tone measure_tone(const Observations& seen, const Event& event, int midi, double from_s,
                  double to_s, double shift_cents, std::span<const int> nearby) {
  Tone tone;
  const Frames span = settled(seen, from_s, to_s);
  tone.settled_s = static_cast<double>(span.to - span.from) * seen.step_s();
  count_presence(seen, event, midi, span, tone);
  if (tone.rival >= 0) {
    follow_rival(seen, midi, nearby, span, shift_cents, tone);
    tone.rival_s =
        static_cast<double>(longest_stretch(seen, tone.rival, whole(seen, from_s, to_s))) *
        seen.step_s();
  }
  if (tone.rival >= 0 && std::abs(tone.rival - midi) == 1) {
    tone.rival_intonation = rival_intonation(seen, tone.rival, span, shift_cents);
  }
  if (tone.rival >= 0 && std::abs(tone.rival - midi) == 12) {
    compare_octaves(seen, midi, span, shift_cents, tone);
  }
  std::vector<int> others = event.pitches;
  others.insert(others.end(), event.held.begin(), event.held.end());
  std::vector<double> track;
  for (std::size_t f = span.from; f < span.to; ++f) {
    if (seen.quiet(f)) continue;
    const auto d = frame_deviation(seen.sound().partials_at(f), midi, shift_cents, others);
    if (d) track.push_back(*d);
  }
  if (span.to > span.from) {
    tone.tracked = static_cast<double>(track.size()) / static_cast<double>(span.to - span.from);
  }
  if (static_cast<double>(track.size()) * 2 >= static_cast<double>(span.to - span.from)) {
    measure_intonation(track, seen.step_s(), tone);
    tone.vibrato = find_vibrato(track, seen.step_s());
  }
  return tone;
}

}  // namespace endpin::listen
