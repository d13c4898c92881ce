#include "align/token.h"

#include <algorithm>

#include "endpin/dsp/spectrum.h"

namespace endpin::listen {
namespace {

constexpr float free_duration = -1.2F;  // ≈ log of a density over half to double the tempo
constexpr float duration_spread = 0.2F, degrees = 3;
constexpr float first_tempo_variance = 0.09F, drift_variance = 0.004F;
constexpr float jitter_s = 0.03F;                   // candidates stand apart
constexpr float slowest = 0.85F, fastest = -0.85F;  // log of 2.3

float student_log(float z2) { return -0.5F * (degrees + 1) * fast_log(1 + z2 / degrees); }

}  // namespace

Duration duration_of(const Token& t, float seconds, float written) {
  Duration lasted;
  lasted.ratio = fast_log(seconds / written);
  const float jitter = jitter_s / seconds;
  if (t.variance < 0) {
    const float beyond = std::max({0.0F, lasted.ratio - slowest, fastest - lasted.ratio});
    lasted.score = free_duration - 4 * beyond;
    lasted.noise = jitter * jitter;
    return lasted;
  }
  lasted.noise = duration_spread * duration_spread + jitter * jitter;
  lasted.prior = t.variance + drift_variance;
  const float innovation = lasted.ratio - t.tempo;
  lasted.surprise = innovation * innovation / (lasted.noise + lasted.prior);
  lasted.score =
      student_log(lasted.surprise) - 0.5F * fast_log((lasted.noise + lasted.prior) * 16) - 0.3F;
  return lasted;
}

Token after_duration(const Token& t, const Duration& lasted) {
  Token after = t;
  after.score += lasted.score;
  if (t.variance < 0) {
    after.tempo = std::clamp(lasted.ratio, fastest, slowest);
    after.variance = first_tempo_variance + lasted.noise;
    return after;
  }
  const float robust = (degrees + 1) / (degrees + lasted.surprise);
  const float gain = lasted.prior / (lasted.prior + lasted.noise / robust);
  after.tempo =
      std::clamp(t.tempo + gain * (lasted.ratio - t.tempo), fastest - 0.2F, slowest + 0.2F);
  after.variance = (1 - gain) * lasted.prior;
  return after;
}

}  // namespace endpin::listen
