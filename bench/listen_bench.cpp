// What each stage of hearing costs. items/s are seconds of sound a second: times real time.
#include <benchmark/benchmark.h>

#include "endpin/listen/findings.h"
#include "endpin/listen/live.h"

#include "align/fine_path.h"
#include "align/first_pass.h"
#include "align/observations.h"
#include "align/path.h"
#include "played.h"

namespace endpin::listen {
namespace {

// 180 quarters at 90: two minutes. No bar is like another, as in a piece.
const Tune& tune() {
  static const Tune once = [] {
    std::vector<int> midi;
    constexpr int scale[] = {55, 57, 59, 60, 62, 64, 66, 67, 69, 71, 72, 74};
    for (int i = 0; i < 180; ++i) midi.push_back(scale[(i * i + 5 * i) % 23 % 12]);
    return Tune(midi);
  }();
  return once;
}
const Recording& recording() {
  static const Recording once = play(tune(), all_of(tune()));
  return once;
}

// All that the stages hand on, once.
struct Stages {
  SoundFeatures sound = sound_features(recording().view(), {}, {});
  ScoreModel score = score_model(std::span(&tune().timeline, 1), {});
  PitchEvidence pitch{sound, score.lowest_midi - 13, score.highest_midi + 13, 0};
  Observations seen{sound, pitch};
  std::vector<Candidate> begins = candidates(sound, pitch);
  Path coarse = coarse_path(score, seen, begins, {});
};
const Stages& stages() {
  static const Stages once;
  return once;
}

void count_seconds(benchmark::State& state) {
  state.SetItemsProcessed(state.iterations() *
                          static_cast<std::int64_t>(recording().view().length().value()));
}

void BM_sound_features(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(sound_features(recording().view(), {}, {}));
  count_seconds(state);
}
BENCHMARK(BM_sound_features)->Unit(benchmark::kMillisecond);

void BM_pitch_evidence(benchmark::State& state) {
  const auto& s = stages();
  for (auto _ : state) {
    PitchEvidence pitch(s.sound, s.pitch.lowest(), s.pitch.highest(), 0);
    benchmark::DoNotOptimize(pitch.frames());
  }
  count_seconds(state);
}
BENCHMARK(BM_pitch_evidence)->Unit(benchmark::kMillisecond);

void BM_observations(benchmark::State& state) {
  const auto& s = stages();
  for (auto _ : state) {
    Observations seen(s.sound, s.pitch);
    benchmark::DoNotOptimize(seen.frames());
  }
  count_seconds(state);
}
BENCHMARK(BM_observations)->Unit(benchmark::kMillisecond);

void BM_coarse_path(benchmark::State& state) {
  const auto& s = stages();
  for (auto _ : state) benchmark::DoNotOptimize(coarse_path(s.score, s.seen, s.begins, {}));
  count_seconds(state);
}
BENCHMARK(BM_coarse_path)->Unit(benchmark::kMillisecond);

void BM_fine_path(benchmark::State& state) {
  const auto& s = stages();
  for (auto _ : state) benchmark::DoNotOptimize(fine_path(s.score, s.seen, s.coarse));
  count_seconds(state);
}
BENCHMARK(BM_fine_path)->Unit(benchmark::kMillisecond);

// All stages, the measures among them.
void BM_hear(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(hear_one(tune(), recording()));
  count_seconds(state);
}
BENCHMARK(BM_hear)->Unit(benchmark::kMillisecond);

void BM_findings(benchmark::State& state) {
  const Hearing hearing = hear_one(tune(), recording());
  // Of a take that is refused nothing is found, at once.
  if (hearing.status != HearingStatus::ok) return state.SkipWithError("the take was refused");
  for (auto _ : state) benchmark::DoNotOptimize(findings(hearing, tune().timeline));
  count_seconds(state);
}
BENCHMARK(BM_findings)->Unit(benchmark::kMicrosecond);

// By blocks of an audio thread.
void BM_live(benchmark::State& state) {
  const auto samples = recording().view().samples;
  for (auto _ : state) {
    LiveFollower follower(tune().timeline, Recording::rate);
    for (std::size_t at = 0; at + 128 <= samples.size(); at += 128) {
      follower.take(samples.subspan(at, 128));
    }
    benchmark::DoNotOptimize(follower.place());
  }
  count_seconds(state);
}
BENCHMARK(BM_live)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace endpin::listen
