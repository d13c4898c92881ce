// How many times faster than it sounds a performance is made, on one core.
#include <benchmark/benchmark.h>

#include "endpin/perform/fluid_sounds.h"
#include "endpin/perform/perform.h"

namespace endpin {
namespace {

// A tune of 16 bars in 4/4 at 80: 48 s, 64 quarters over an octave, every other pair slurred.
Timeline tune() {
  constexpr int scale[] = {50, 52, 54, 55, 57, 59, 61, 62};
  Timeline timeline;
  timeline.instrument = "cello";
  timeline.tempo = TempoMap(Bpm(80));
  for (int i = 0; i < 64; ++i) {
    TimelineNote note;
    note.index = i;
    note.onset = Beats(i);
    note.duration = Beats(1);
    note.midi = scale[(i * 3) % 8];
    if (i % 4 < 2) note.slur_id = i / 4;
    timeline.notes.push_back(note);
    if (i % 4 == 0) {
      timeline.bars.push_back({std::to_string(i / 4 + 1), i / 4, 1, Beats(i), Beats(4), 4, 4});
    }
  }
  return timeline;
}

// Everything anew each time, the sound font too, as `endpin play` does it.
void BM_perform(benchmark::State& state) {
  const Timeline timeline = tune();
  PerformOptions options;
  options.click = true;
  options.count_in_bars = 1;
  options.drone = state.range(0) != 0;
  double seconds = 0;
  for (auto _ : state) {
    const auto sounds = FluidSounds::open("cello");
    ToneBank tones(**sounds);
    const auto performance = perform(timeline, options, tones);
    benchmark::DoNotOptimize(performance->audio.samples.data());
    seconds += performance->audio.duration().value();
  }
  state.counters["times_real_time"] = benchmark::Counter(seconds, benchmark::Counter::kIsRate);
}
BENCHMARK(BM_perform)->ArgName("drone")->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace endpin
