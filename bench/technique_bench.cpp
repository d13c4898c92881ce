#include <algorithm>
#include <random>

#include <benchmark/benchmark.h>

#include "endpin/score/unfold.h"
#include "endpin/study/study.h"
#include "endpin/technique/markings.h"

namespace endpin {
namespace {

// A tune of chance: eighths in 4/4, D major, up and down by small steps within the instrument.
Score tune(int bars, const Instrument& which) {
  std::mt19937 random(1);
  Score score;
  Part part;
  part.id = "P1";
  int midi = which.lowest_midi() + 12;
  for (int b = 0; b < bars; ++b) {
    Bar bar;
    bar.number = std::to_string(b + 1);
    bar.length = Beats(4);
    if (b == 0) bar.changes = {Change{ChangeKind::key, Beats(0), {2, ""}, {}, {}}};
    for (int i = 0; i < 8; ++i) {
      Note note;
      note.id = "n" + std::to_string(8 * b + i);
      note.onset = Beats(i, 2);
      note.duration = Beats(1, 2);
      midi += static_cast<int>(random() % 9) - 4;
      midi = std::clamp(midi, which.lowest_midi(), which.highest_midi - 12);
      note.pitch = spell(midi, 2);
      bar.notes.push_back(note);
    }
    part.bars.push_back(bar);
  }
  score.parts.push_back(part);
  return score;
}

void mark_tune(benchmark::State& state, bool alternatives) {
  const Instrument& which = instrument(InstrumentKind::violin);
  const Score score = tune(static_cast<int>(state.range(0)) / 8, which);
  const Timeline line = *timeline(score, 0, "violin");
  MarkingOptions options;
  options.step = "thumb";
  options.alternatives = alternatives;
  for (auto _ : state) benchmark::DoNotOptimize(mark(score, 0, line, which, options));
  state.SetComplexityN(state.range(0));
}
void mark_notes(benchmark::State& state) { mark_tune(state, false); }
BENCHMARK(mark_notes)
    ->Arg(1000)
    ->Arg(2000)
    ->Arg(10000)
    ->Unit(benchmark::kMillisecond)
    ->Complexity();

void mark_notes_with_alternatives(benchmark::State& state) { mark_tune(state, true); }
BENCHMARK(mark_notes_with_alternatives)
    ->Arg(1000)
    ->Arg(10000)
    ->Unit(benchmark::kMillisecond)
    ->Complexity();

void study_bars(benchmark::State& state) {
  const Instrument& which = instrument(InstrumentKind::cello);
  const Score score = tune(static_cast<int>(state.range(0)), which);
  Timeline line = *timeline(score, 0, "cello");
  apply(mark(score, 0, line, which), line);
  for (auto _ : state) benchmark::DoNotOptimize(study(score, 0, line, which));
}
BENCHMARK(study_bars)->Arg(32)->Arg(320)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace endpin
