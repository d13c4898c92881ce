#include <string>

#include <benchmark/benchmark.h>

#include "endpin/notation/read.h"
#include "endpin/notation/write.h"
#include "endpin/score/unfold.h"

#include "fmt/format.h"

// What it costs to read. Wanted: 10,000 bars of MusicXML read and unfolded in less than 1 s, linear
// in bars; 1,000 bars in less than 200 ms; 1,000 ABC tunes in less than 1 s.
namespace endpin {
namespace {

/// Eighths in 4/4 with slurs, and a repeat every sixteen bars.
std::string music_xml(int bars) {
  std::string text =
      "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Cello"
      "</part-name></score-part></part-list><part id=\"P1\">\n";
  for (int bar = 1; bar <= bars; ++bar) {
    text += fmt::format("<measure number=\"{}\">\n", bar);
    if (bar == 1) {
      text +=
          "<attributes><divisions>2</divisions><key><fifths>1</fifths></key><time><beats>4"
          "</beats><beat-type>4</beat-type></time><clef><sign>F</sign><line>4</line></clef>"
          "</attributes>\n";
    }
    for (int note = 0; note < 8; ++note) {
      text += fmt::format(
          "<note>\n<pitch><step>{}</step><octave>3</octave></pitch>\n<duration>1</duration>\n"
          "<voice>1</voice>\n<type>eighth</type>\n<notations><slur type=\"{}\" number=\"1\"/>"
          "</notations>\n</note>\n",
          "CDEFGABC"[(note + bar) % 8], note % 2 == 0 ? "start" : "stop");
    }
    if (bar % 16 == 0) text += "<barline><repeat direction=\"backward\"/></barline>\n";
    text += "</measure>\n";
  }
  return text + "</part></score-partwise>\n";
}

std::string abc_tune(int number) {
  return fmt::format(
      "X:{}\nT:Tune {}\nM:6/8\nL:1/8\nK:D\n|:A|dfd ecA|def gfe|dcd ABc|d3 d2:|\n"
      "|:e|fga gfe|faf gec|1 dcd ABc|d3 d2:|2 dcd e2c|d3 d2|]\n\n",
      number, number);
}

void read_and_unfold_music_xml(benchmark::State& state) {
  const std::string text = music_xml(static_cast<int>(state.range(0)));
  for (auto _ : state) {
    const auto score = read_score(text);
    const auto played = timeline(*score, 0);
    benchmark::DoNotOptimize(played->notes.size());
  }
  state.SetComplexityN(state.range(0));
  state.SetBytesProcessed(state.iterations() * static_cast<std::int64_t>(text.size()));
}
BENCHMARK(read_and_unfold_music_xml)
    ->Arg(1000)
    ->Arg(2500)
    ->Arg(5000)
    ->Arg(10000)
    ->Unit(benchmark::kMillisecond)
    ->Complexity(benchmark::oN);

void read_a_thousand_abc_tunes(benchmark::State& state) {
  for (auto _ : state) {
    for (int tune = 1; tune <= 1000; ++tune) {
      const auto score = read_score(abc_tune(tune));
      benchmark::DoNotOptimize(timeline(*score, 0)->notes.size());
    }
  }
}
BENCHMARK(read_a_thousand_abc_tunes)->Unit(benchmark::kMillisecond);

void read_each_tune_of_a_file_of_a_thousand(benchmark::State& state) {
  std::string text;
  for (int tune = 1; tune <= 1000; ++tune) text += abc_tune(tune);
  for (auto _ : state) {
    for (int tune = 1; tune <= 1000; ++tune) {
      benchmark::DoNotOptimize(read_score(text, {"", tune})->parts.size());
    }
  }
}
BENCHMARK(read_each_tune_of_a_file_of_a_thousand)->Unit(benchmark::kMillisecond);

void write_music_xml(benchmark::State& state) {
  const auto score = read_score(music_xml(1000));
  for (auto _ : state) benchmark::DoNotOptimize(write_musicxml(*score).size());
}
BENCHMARK(write_music_xml)->Unit(benchmark::kMillisecond);

void annotate_music_xml(benchmark::State& state) {
  const std::string text = music_xml(1000);
  const auto score = read_score(text);
  MarkingsById markings;
  NoteMarkings mark;
  mark.fingers = {1};
  for (const Bar& bar : score->parts[0].bars) {
    for (const Note& note : bar.notes) markings[note.id] = {{mark, Origin::proposed}};
  }
  for (auto _ : state) benchmark::DoNotOptimize(annotate_musicxml(text, markings)->size());
}
BENCHMARK(annotate_music_xml)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace endpin
