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

Token after_duration(const Token& t, float seconds, float written) {
  Token after = t;
  const float ratio = fast_log(seconds / written);
  const float jitter = jitter_s / seconds;
  const float noise = duration_spread * duration_spread + jitter * jitter;
  if (t.variance < 0) {
    const float beyond = std::max({0.0F, ratio - slowest, fastest - ratio});
    after.score += free_duration - 4 * beyond;
    after.tempo = std::clamp(ratio, fastest, slowest);
    after.variance = first_tempo_variance + jitter * jitter;
    return after;
  }
  const float prior = t.variance + drift_variance;
  const float innovation = ratio - t.tempo;
  const float z2 = innovation * innovation / (noise + prior);
  after.score += student_log(z2) - 0.5F * fast_log((noise + prior) * 16) - 0.3F;
  const float robust = (degrees + 1) / (degrees + z2);
  const float gain = prior / (prior + noise / robust);
  after.tempo = std::clamp(t.tempo + gain * innovation, fastest - 0.2F, slowest + 0.2F);
  after.variance = (1 - gain) * prior;
  return after;
}

}  // namespace endpin::listen
