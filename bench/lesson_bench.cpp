// How long a lesson takes: thought through, and its whole folder (engraved, played, printed) for a
// tune of 16 bars; and a class set of four thought through.
#include <filesystem>

#include <benchmark/benchmark.h>

#include "endpin/lesson_folder/class_set_folder.h"
#include "endpin/lesson_folder/lesson_folder.h"

namespace endpin::app {
namespace {

LessonOrder ode() {
  LessonOrder order;
  order.input = read_score_input(ENDPIN_SOURCE_DIR "/demo/pieces/ode-to-joy.musicxml", {}).value();
  order.date = "2026-03-01";
  return order;
}

void BM_plan_lesson(benchmark::State& state) {
  const LessonOrder order = ode();
  for (auto _ : state) benchmark::DoNotOptimize(plan_lesson(order));
}
BENCHMARK(BM_plan_lesson)->Unit(benchmark::kMillisecond);

// Needs the web packages; the wall clock counts, since other programs do most of it.
void BM_lesson_folder(benchmark::State& state) {
  const LessonOrder order = ode();
  const auto folder = std::filesystem::temp_directory_path() / "endpin-lesson-bench";
  for (auto _ : state) {
    std::filesystem::remove_all(folder);
    if (const auto done = write_lesson(order, folder); !done) {
      state.SkipWithError(done.error().line().c_str());
      break;
    }
  }
  std::filesystem::remove_all(folder);
}
BENCHMARK(BM_lesson_folder)->Unit(benchmark::kSecond)->UseRealTime()->Iterations(3);

void BM_plan_class_set(benchmark::State& state) {
  ClassSetOrder order;
  order.input = ode().input;
  for (auto _ : state) benchmark::DoNotOptimize(plan_class_set(order));
}
BENCHMARK(BM_plan_class_set)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace endpin::app
