// A large book: 200 students, 300 pieces, 5,000 takes of 12 bars each. What the interface asks for
// most: lists, search, one take, one bar of everybody; and opening the book.
#include <cstdlib>
#include <filesystem>
#include <string>

#include <benchmark/benchmark.h>

#include "endpin/book/book.h"

namespace {

using namespace endpin::book;

template <typename T>
T need(endpin::Result<T> result) {
  if (!result) {
    std::fprintf(stderr, "%s\n", result.error().line().c_str());
    std::exit(1);
  }
  return std::move(*result);
}

Upload bytes(Book& book, const std::string& text) {
  Upload upload = need(book.upload(1 << 20));
  if (!upload.write(text) || !upload.finish()) std::exit(1);
  return upload;
}

void fill(Book& book) {
  std::vector<Id> students;
  std::vector<Id> pieces;
  for (int i = 0; i < 200; ++i) {
    Student student;
    student.name = "Student " + std::to_string(i);
    students.push_back(need(book.students().add(student)));
  }
  need(book.students().add_group({0, "Monday", {students.begin(), students.begin() + 30}}));
  for (int i = 0; i < 300; ++i) {
    Piece piece;
    piece.title = "Tune " + std::to_string(i);
    piece.file_name = "tune.musicxml";
    piece.facts = "{}";
    pieces.push_back(need(book.pieces().add(piece, bytes(book, "piece " + std::to_string(i)))));
  }
  HeardBrief brief;
  brief.status = "ok";
  for (int i = 0; i < 5000; ++i) {
    Take take;
    take.file_name = "VID_" + std::to_string(i) + ".mp4";
    take.student = students[static_cast<std::size_t>(i) % students.size()];
    take.piece = pieces[static_cast<std::size_t>(i / 50) % pieces.size()];
    take.delete_after = "2099-01-01";
    bool duplicate = false;
    const Id id =
        need(book.takes().add(take, bytes(book, "take " + std::to_string(i)), &duplicate));
    std::vector<HeardBar> bars;
    for (int b = 0; b < 12; ++b) bars.push_back({std::to_string(b), 1, b * 2.0, b * 2.0 + 2});
    need(book.takes().claim());
    need(book.takes().heard(id, brief, bars));
  }
}

const std::filesystem::path& folder() {
  static const std::filesystem::path made = [] {
    const auto place = std::filesystem::temp_directory_path() / "endpin-bench-book";
    std::filesystem::remove_all(place);
    fill(*need(open_book(place)));
    return place;
  }();
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
