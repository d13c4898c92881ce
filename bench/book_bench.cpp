// A large book (large_book.h): what the interface asks for most, which is lists, search, one take,
// one bar of everybody; and opening the book.
#include <filesystem>
#include <string>

#include <benchmark/benchmark.h>

#include "large_book.h"

namespace {

using namespace endpin::book;

using endpin::bench::need;

const std::filesystem::path& folder() {
  static const std::filesystem::path made = endpin::bench::large_book("endpin-bench-book");
  return made;
}

Book& book() {
  static const std::unique_ptr<Book> opened = need(open_book(folder()));
  return *opened;
}

void students_listed(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(need(book().students().list({})));
}
void pieces_searched(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(need(book().pieces().list("une 7")));
}
void takes_listed(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(need(book().takes().list({})));
}
void takes_searched(benchmark::State& state) {
  TakeQuery query;
  query.text = "Student 17";
  for (auto _ : state) benchmark::DoNotOptimize(need(book().takes().list(query)));
}
void take_opened(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(need(book().takes().find(2500)));
}
void bars_of_everybody(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(need(book().takes().newest_bars(50, {}, {})));
}
void book_opened(benchmark::State& state) {
  std::filesystem::copy(folder(), folder().string() + "-copy",
                        std::filesystem::copy_options::recursive);
  for (auto _ : state) benchmark::DoNotOptimize(need(open_book(folder().string() + "-copy")));
  std::filesystem::remove_all(folder().string() + "-copy");
}

BENCHMARK(book_opened)->Unit(benchmark::kMillisecond);
BENCHMARK(students_listed)->Unit(benchmark::kMillisecond);
BENCHMARK(pieces_searched)->Unit(benchmark::kMillisecond);
BENCHMARK(takes_listed)->Unit(benchmark::kMillisecond);
BENCHMARK(takes_searched)->Unit(benchmark::kMillisecond);
BENCHMARK(take_opened)->Unit(benchmark::kMillisecond);
BENCHMARK(bars_of_everybody)->Unit(benchmark::kMillisecond);

}  // namespace
