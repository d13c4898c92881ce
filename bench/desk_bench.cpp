// The desk's interface over a large book (large_book.h), as a page asks for it: one connection that
// stays open, whole answers. Every one is to take less than 100 ms, and the start less than 1 s.
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>
#include <thread>

#include <benchmark/benchmark.h>
#include <httplib.h>

#include "endpin/desk/desk.h"

#include "large_book.h"

namespace {

using namespace endpin;
namespace fs = std::filesystem;

std::string file(const char* name) {
  std::ifstream in(fs::path(ENDPIN_SOURCE_DIR) / name, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

desk::DeskOptions options() {
  static const fs::path book = bench::large_book(
      "endpin-bench-desk", {"tune.musicxml", file("demo/pieces/ode-to-joy.musicxml"),
                            file("tests/fixtures/hearing.json")});
  desk::DeskOptions o;
  o.book = book;
  o.workers = 0;
  o.draw_ahead = false;
  return o;
}

class Served {
 public:
  Served() : desk_(bench::need(desk::Desk::open(options()))) {
    thread_ = std::thread([this] { desk_->serve(); });
    client_ = std::make_unique<httplib::Client>("127.0.0.1", desk_->port());
    client_->set_keep_alive(true);
  }
  ~Served() {
    client_.reset();
    desk_->stop();
    thread_.join();
  }
  std::size_t get(const std::string& path) {
    const auto answer = client_->Get(("/api" + path).c_str());
    if (answer && answer->status == 200) return answer->body.size();
    std::fprintf(stderr, "%s: %d\n", path.c_str(), answer ? answer->status : 0);
    std::exit(1);
  }

 private:
  std::unique_ptr<desk::Desk> desk_;
  std::thread thread_;
  std::unique_ptr<httplib::Client> client_;
};

void asked(benchmark::State& state, const std::string& path) {
  static Served served;
  std::size_t size = 0;
  for (auto _ : state) size = served.get(path);
  state.counters["bytes"] = static_cast<double>(size);
}

void started(benchmark::State& state) {
  const desk::DeskOptions made = options();  // filling the book takes a while
  for (auto _ : state) benchmark::DoNotOptimize(bench::need(desk::Desk::open(made)));
}
BENCHMARK(started)->Unit(benchmark::kMillisecond);

#define ASKED(name, path) \
  BENCHMARK_CAPTURE(asked, name, path)->Unit(benchmark::kMillisecond)->UseRealTime()
ASKED(book, "/book");
ASKED(students, "/students");
ASKED(students_searched, "/students?q=dent%2017");
ASKED(groups, "/groups");
ASKED(pieces, "/pieces");
ASKED(pieces_searched, "/pieces?q=une%207");
ASKED(takes, "/takes?limit=100");
ASKED(takes_thousand, "/takes?limit=1000");
ASKED(takes_new, "/takes?new=1");
ASKED(takes_of_student, "/takes?student=17");
ASKED(takes_of_group, "/takes?group=1");
ASKED(takes_searched, "/takes?q=Student%2017");
ASKED(takes_searched_for_nothing, "/takes?q=nowhere");
ASKED(take, "/takes/2500");
ASKED(take_hearing, "/takes/2500/hearing");
ASKED(take_items, "/takes/2500/items");
ASKED(take_message, "/takes/2500/message");
ASKED(take_next, "/takes/2500/next");
ASKED(history, "/students/17/history");
ASKED(bars_of_everybody, "/pieces/50/bars");
ASKED(piece, "/pieces/50");
ASKED(piece_timeline, "/pieces/50/timeline");
ASKED(piece_markings, "/pieces/50/markings");
ASKED(piece_study, "/pieces/50/study");
ASKED(piece_proposals, "/pieces/50/proposals");

}  // namespace
