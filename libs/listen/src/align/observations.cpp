#include "align/observations.h"

#include <algorithm>
#include <cmath>

#include "align/frame_costs.h"
#include "quantiles.h"

namespace endpin::listen {
namespace {

// As evidence_per_salience, of support: with 20 right notes of simulated ensembles lose 0.5 in the
// mean and others of the same tune 3.
constexpr float evidence_per_support = 20;
// A viola or cello plays in octaves with a violin, whose own octave stands half as tall as itself.
constexpr float octaves_share = 0.5F;
// Mean share of the strong partials that the best pitch does not explain: simulated players alone
// have up to 0.19, in rooms and noise, in ensembles 0.23 to 0.48. `fewer_in_a_crowd`: of the
// likelihood of another tone, so that the softest player's notes are no dearer than none of them.
constexpr double alone_beside = 0.15, crowded_beside = 0.3;
constexpr float fewer_in_a_crowd = 0.4F;
// A pause belongs to the playing around it rather than to none; that it is long, or that a phone
// was left running, says nothing.
constexpr double silence_costs_for_s = 0.5;

// Of the frames that are louder than `above_db`.
double level_quantile(const SoundFeatures& sound, double q, double above_db = -1000) {
  std::vector<float> levels;
  levels.reserve(sound.onset.size());
  for (const OnsetFrame& f : sound.onset) {
    if (f.level_db > above_db) levels.push_back(f.level_db);
  }
  if (levels.empty()) return -90;
  return static_cast<double>(quantile(std::move(levels), q));
}

// Of what sounds strongly, how much the best pitch of each frame does not explain, in the mean of
// the frames louder than `limit_db`.
double mean_beside(const SoundFeatures& sound, const PitchEvidence& pitch, double limit_db) {
  double sum = 0, frames = 0;
  for (std::size_t i = 0; i < pitch.frames(); ++i) {
    if (sound.onset[std::min(2 * i, sound.onset.size() - 1)].level_db < limit_db) continue;
    sum += static_cast<double>(pitch.beside_best(i)), ++frames;
  }
  return sum / std::max(1.0, frames);
}

// How loud the playing is, however little of the take it fills.
double playing_level(const SoundFeatures& sound) {
  constexpr double softest_below_db = 40;
  return level_quantile(sound, 0.9, level_quantile(sound, 0.999) - softest_below_db);
}

}  // namespace

Observations::Observations(const SoundFeatures& sound, const PitchEvidence& pitch,
                           const Evidence& uses)
    : sound_(sound),
      pitch_(pitch),
      uses_(uses),
      playing_level_db_(playing_level(sound)),
      floor_db_(level_quantile(sound, 0.01)),
      tonal_(pitch.frames(), 1.0F),
      swelling_(pitch.frames()),
      gap_(pitch.frames()),
      other_(pitch.frames()),
      anything_(pitch.frames()),
      quiet_(pitch.frames()),
      ringing_(pitch.frames()) {
  if (in_use(uses).ringing) find_ringing();
  if (in_use(uses).swelling) find_swelling();
  find_tonal();
  const std::size_t while_it_costs = static_cast<std::size_t>(silence_costs_for_s / step_s());
  std::size_t silent = 0;
  const double surely = playing_level_db_ - quiet_below_playing_db;
  const double limit = std::min(playing_level_db_ - least_below_playing_db,
                                std::max(surely, floor_db_ + quiet_above_floor_db));
  const bool rests = rests_at_the_floor();
  if (in_use(uses).company) beside_ = mean_beside(sound, pitch, limit);
  const float crowded = static_cast<float>(
      std::clamp((beside_ - alone_beside) / (crowded_beside - alone_beside), 0.0, 1.0));
  const float clear_other = 1 - fewer_in_a_crowd * crowded;
  for (std::size_t i = 0; i < frames(); ++i) {
    const std::size_t fine = std::min(2 * i, sound.onset.size() - 1);
    const double level = static_cast<double>(sound.onset[fine].level_db);
    const bool is_quiet = level < surely || (level < limit && (rests || tonal_[i] < 1));
    const float clear = tonal_[i] * std::clamp((pitch.best(i) - 0.15F) / 0.25F, 0.0F, 1.0F);
    quiet_[i] = is_quiet;
    silent = is_quiet ? silent + 1 : 0;
    gap_[i] = is_quiet ? 0.0F : ringing_[i] ? -0.25F : -0.25F - 0.25F * tonal_[i] - 1.5F * clear;
    gap_[i] *= 1 - swelling_[i];
    // Another tone that is clear explains its frames nearly as well as the written one would; less
    // so where there always is one.
    other_[i] = is_quiet ? worst_in_silence : ringing_[i] ? -1.2F : -1.2F + clear_other * clear;
    anything_[i] = silent > while_it_costs ? 0.0F : is_quiet ? -0.3F : ringing_[i] ? -0.4F : -1.0F;
  }
}

// Of Gaussian noise the power of a bin is exponentially distributed: one in 7,000 lies 12 dB above
// the mean of the logarithm, of the 480 bins up to 6 kHz three at once in one frame of 20,000. One
// partial alone may be mains or a string that resonates: it has to stand clear.
void Observations::find_tonal() {
  constexpr float noise_db = 11, tone_db = 15, one_noise_db = 18, one_tone_db = 24;
  for (std::size_t f = 0; f < frames(); ++f) {
    int most = 0, second = 0, third = 0;
    for (const SmallPartial& p : sound_.partials_at(f)) {
      const int c = p.clarity;
      third = std::max(third, std::min(second, c));
      second = std::max(second, std::min(most, c));
      most = std::max(most, c);
    }
    const float three = (static_cast<float>(third) - noise_db) / (tone_db - noise_db);
    const float one = (static_cast<float>(most) - one_noise_db) / (one_tone_db - one_noise_db);
    tonal_[f] = std::clamp(std::max(three, one), 0.0F, 1.0F);
  }
}

// At the floor nobody plays where most frames are noise, or of one pitch, as mains hum is. In a
// take of which less than a hundredth is rests they are soft playing, of many pitches.
bool Observations::rests_at_the_floor() const {
  constexpr float near_floor_db = 2;
  constexpr std::size_t most_in_ten = 6;
  std::size_t frames_there = 0, noise = 0;
  std::vector<std::size_t> of_pitch(static_cast<std::size_t>(pitch_.highest() + 1), 0);
  for (std::size_t f = 0; f < frames(); ++f) {
    if (std::abs(level_db(f) - static_cast<float>(floor_db_)) > near_floor_db) continue;
    ++frames_there;
    if (tonal_[f] < 1) {
      ++noise;
    } else {
      ++of_pitch[static_cast<std::size_t>(pitch_.best_midi(f))];
    }
  }
  const std::size_t one_pitch = *std::max_element(of_pitch.begin(), of_pitch.end());
  return 10 * (noise + one_pitch) >= most_in_ten * frames_there;
}

// The level has lost 8 dB within half a second, goes on falling, and nothing began since, the
// pitch stays: a bowed tone does not sink so by itself, but for its swings with the vibrato, from
// which it comes back. Counted from where it left its plateau by 3 dB.
void Observations::find_ringing() {
  constexpr float lost_db = 8, falls_db = 1.5F, still_db = 0.8F, beginning = 0.8F, swing_db = 3;
  const std::size_t window = static_cast<std::size_t>(0.5 / step_s());
  const std::size_t slope = static_cast<std::size_t>(0.1 / step_s());
  const std::size_t swing = static_cast<std::size_t>(0.15 / step_s());
  const std::vector<float>& onset = sound_.onset_evidence;
  const auto begins = [&](std::size_t f) {
    const std::size_t fine = std::min(2 * f, onset.size() - 1);
    return std::max(onset[fine], onset[fine > 0 ? fine - 1 : 0]) > beginning;
  };
  const auto comes_back = [&](std::size_t f) {
    for (std::size_t k = f + 1; k < std::min(frames(), f + swing) && !begins(k); ++k) {
      if (level_db(k) > level_db(f) + swing_db) return true;
    }
    return false;
  };
  std::size_t began = 0;  // the last frame in which something may have begun
  for (std::size_t f = slope; f < frames(); ++f) {
    if (begins(f)) began = f;
    std::size_t top = f;
    for (std::size_t k = std::max(began, f > window ? f - window : 0); k < f; ++k) {
      if (level_db(k) > level_db(top)) top = k;
    }
    if (level_db(f) > level_db(top) - lost_db || level_db(f) > level_db(f - slope) - falls_db)
      continue;
    // A softer note of another pitch is no ringing on.
    const std::size_t settled = top + 2 < f ? top : f;
    const int away = pitch_.best_midi(f) - pitch_.best_midi(settled);
    if (pitch_.best(f) > 0.2F && away % 12 != 0) continue;
    if (comes_back(f)) continue;
    // Back to where the fall began.
    for (std::size_t k = f; k > top + 3 && !ringing_[k]; --k) {
      if (k < f && level_db(k - 3) < level_db(k) + still_db) break;
      ringing_[k] = 1;
    }
  }
}

double Observations::silent_share(double from_s, double to_s) const {
  const auto at = [&](double s) {
    return std::min(frames(), static_cast<std::size_t>(std::max(0.0, s) / step_s()));
  };
  const std::size_t from = at(from_s), to = at(to_s);
  std::size_t silent = 0;
  for (std::size_t f = from; f < to; ++f) silent += quiet(f) || ringing(f);
  return to > from ? static_cast<double>(silent) / static_cast<double>(to - from) : 1;
}

void Observations::find_swelling() {
  constexpr float heard_below_db = 8, surely_below_db = 16, lifted_db = 3;
  const std::size_t back = static_cast<std::size_t>(0.12 / step_s());
  const std::size_t ahead = static_cast<std::size_t>(0.15 / step_s());
  for (std::size_t f = back; f + ahead < frames(); ++f) {
    float least = level_db(f), next = level_db(f);
    for (std::size_t k = f - back; k < f; ++k) least = std::min(least, level_db(k));
    for (std::size_t k = f + 1; k <= f + ahead; ++k) next = std::max(next, level_db(k));
    const float below = (next - level_db(f) - heard_below_db) / (surely_below_db - heard_below_db);
    const float lifted = (level_db(f) - least) / lifted_db;
    swelling_[f] = std::clamp(below, 0.0F, 1.0F) * std::clamp(lifted, 0.0F, 1.0F);
  }
}

float Observations::explains(std::size_t frame, int midi) const {
  return uses().support ? pitch_.support(frame, midi) : pitch_.salience(frame, midi);
}

float Observations::stands(std::size_t frame, int midi) const {
  const float own = explains(frame, midi);
  const auto ahead = [&](int away) { return explains(frame, midi + away) - own; };
  const float best = uses().support ? pitch_.best_support(frame) : pitch_.best(frame);
  float behind = strangers_share * (best - own);
  for (const int away : {-2, -1, 1, 2}) behind = std::max(behind, ahead(away));
  const float octaves = uses().support ? octaves_share : 1;
  for (const int away : {-12, 12}) behind = std::max(behind, octaves * ahead(away));
  return std::max(worst_in_frame,
                  -(uses().support ? evidence_per_support : evidence_per_salience) * behind);
}

float Observations::playing(const Event& event, std::size_t frame) const {
  // A soft tone may begin within the noise of the take.
  const bool lost = quiet(frame);
  if (lost && (tonal(frame) < 1 ||
               static_cast<double>(level_db(frame)) < playing_level_db_ - quiet_below_playing_db))
    return worst_in_silence;
  float best = worst_in_frame, sum = 0;
  for (const int p : event.pitches) {
    const float e = stands(frame, p);
    best = std::max(best, e);
    sum += e;
  }
  const float mean = sum / static_cast<float>(event.pitches.size());
  for (const int p : event.held) best = std::max(best, stands(frame, p) - held_cost);
  if (event.ornamented) {
    for (const int p : event.pitches) {
      for (const int away : {-2, -1, 1, 2}) best = std::max(best, stands(frame, p + away) - 0.4F);
    }
  }
  const float blend = event.pitches.size() > 1 || !event.held.empty() ? strongest_share : 0.0F;
  const float value = event.ornamented ? best : blend * best + (1 - blend) * mean;
  const float clear = std::clamp((pitch_.best(frame) - clear_from) / clear_over, 0.0F, 1.0F);
  const float bowed = ringing(frame) && !event.plucked ? 0.7F : 0.0F;
  const float noise = 0.6F * (1 - tonal(frame)) * clear;
  const float within_noise = lost ? 0.5F : 0.0F;
  const float likely =
      clear * value + unclear * (1 - clear) - bowed - swelling(frame) - noise - within_noise;
  return lost ? std::max(worst_in_silence, likely) : likely;
}

namespace {

// Pitches whose combs stand out while an event's notes ring: their octaves, twelfth, and what
// shares half of their partials.
bool rings_with(const Event& e, int midi) {
  return std::any_of(e.pitches.begin(), e.pitches.end(), [&](int p) {
    const int away = midi - p;
    return away == 0 || away == 5 || away == 7 || std::abs(away) == 12 || away == 19 || away == 24;
  });
}

}  // namespace

float Observations::beginning(const Event& event, const Event& before, std::size_t frame) const {
  if (quiet(frame)) return worst_in_silence;
  constexpr float least_salience = 0.12F, ringing_cost = 0.3F;
  float rival = 0;
  for (int m = pitch_.lowest(); m <= pitch_.highest(); ++m) {
    if (!rings_with(before, m)) rival = std::max(rival, pitch_.salience(frame, m));
  }
  float best = worst_in_frame;
  for (const int p : event.pitches) {
    const float own = pitch_.salience(frame, p);
    if (rings_with(before, p) || own < least_salience) continue;
    best = std::max(best, -evidence_per_salience * (rival - own) - ringing_cost);
  }
  return best;
}

namespace {

// How much the saliences before and after a pitch frame differ, 0…1.
float pitch_change(const PitchEvidence& pitch, std::size_t i) {
  constexpr std::size_t away = 5;
  if (i < away || i + away >= pitch.frames()) return 0;
  float dot = 0, a = 1e-6F, b = 1e-6F;
  for (int p = pitch.lowest(); p <= pitch.highest(); ++p) {
    const float x = pitch.salience(i - away, p), y = pitch.salience(i + away, p);
    dot += x * y, a += x * x, b += y * y;
  }
  return 1 - dot / std::sqrt(a * b);
}

void add_peaks(const std::vector<float>& curve, float least, std::size_t wide,
               std::vector<std::size_t>& at) {
  for (std::size_t i = 0; i < curve.size(); ++i) {
    if (curve[i] < least) continue;
    const std::size_t from = i > wide ? i - wide : 0, to = std::min(curve.size() - 1, i + wide);
    bool top = true;
    for (std::size_t j = from; j <= to && top; ++j) {
      top = curve[j] < curve[i] || (curve[j] == curve[i] && j >= i);
    }
    if (top) at.push_back(i);
  }
}

}  // namespace

std::vector<Candidate> candidates(const SoundFeatures& sound, const PitchEvidence& pitch,
                                  const Evidence& uses) {
  const std::vector<float>& evidence = sound.onset_evidence;
  const std::size_t n = evidence.size();
  const auto frames_of = [&](double s) {
    return std::max<std::size_t>(1, static_cast<std::size_t>(s / sound.step_s));
  };
  std::vector<std::size_t> strong, weak, chosen;
  add_peaks(evidence, -1, frames_of(0.02), strong);
  std::vector<float> change(pitch.frames());
  for (std::size_t i = 0; i < change.size(); ++i) change[i] = pitch_change(pitch, i);
  if (in_use(uses).pitch_change) add_peaks(change, 0.15F, frames_of(0.02) / 2, weak);
  std::vector<unsigned char> taken(n, 0);
  const std::size_t apart = frames_of(0.035);
  const auto take = [&](std::size_t i) {
    if (i >= n) return;
    const std::size_t from = i > apart ? i - apart : 0, to = std::min(n - 1, i + apart);
    for (std::size_t j = from; j <= to; ++j) {
      if (taken[j]) return;
    }
    taken[i] = 1;
  };
  if (n > 0) taken[0] = taken[n - 1] = 1;
  for (std::size_t i : strong) take(i);
  for (std::size_t i : weak) take(2 * i);
  const std::size_t widest = frames_of(0.11);
  std::size_t last = 0;
  for (std::size_t i = 0; i < n; ++i) {
    if (taken[i]) {
      const std::size_t gap = i - last, parts = gap / widest + 1;
      for (std::size_t k = 1; k < parts; ++k) chosen.push_back(last + gap * k / parts);
      chosen.push_back(i);
      last = i;
    }
  }
  std::vector<Candidate> result;
  for (std::size_t i : chosen) {
    const std::size_t near = frames_of(0.012);
    const std::size_t from = i > near ? i - near : 0, to = std::min(n - 1, i + near);
    const float strength =
        *std::max_element(evidence.begin() + static_cast<std::ptrdiff_t>(from),
                          evidence.begin() + static_cast<std::ptrdiff_t>(to + 1));
    result.push_back({i, strength, static_cast<float>(static_cast<double>(i) * sound.step_s)});
  }
  return result;
}

}  // namespace endpin::listen
