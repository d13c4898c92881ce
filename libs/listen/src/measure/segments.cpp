#include "measure/segments.h"

#include "measure/between.h"

namespace endpin::listen {
namespace {

class Segments {
 public:
  Segments(const Aligned& aligned, Hearing& hearing) : a_(aligned), h_(hearing) {}

  void run() {
    double at = 0;
    for (std::size_t i = 0; i < a_.events.size();) {
      std::size_t j = i;
      while (j + 1 < a_.events.size() && !a_.events[j + 1].jumped_to) ++j;
      between(at, a_.events[i].onset_s, beat_s(i, j));
      playing(i, j);
      at = a_.events[j].sounds_until_s;
      i = j + 1;
    }
    between(at, h_.recording.length.value(), std::nullopt);
  }

 private:
  const NoteHearing& note(int place) const { return h_.notes[static_cast<std::size_t>(place)]; }

  void playing(std::size_t first, std::size_t last) {
    Segment s;
    s.item = a_.event(first).item;
    s.from = Seconds(a_.events[first].onset_s);
    s.to = Seconds(a_.events[last].sounds_until_s);
    s.from_index = note(a_.event(first).notes.front()).index;
    s.to_index = note(a_.event(last).notes.back()).index;
    h_.segments.push_back(s);
  }

  // A quarter in the first events of a stretch of playing; empty where there are too few.
  std::optional<double> beat_s(std::size_t first, std::size_t last) const {
    const std::size_t end = std::min(last, first + 8);
    const double quarters = a_.event(end).onset_quarters - a_.event(first).onset_quarters;
    const double seconds = a_.events[end].onset_s - a_.events[first].onset_s;
    return quarters > 0.9 && seconds > 0 ? std::optional(seconds / quarters) : std::nullopt;
  }

  void between(double from_s, double to_s, std::optional<double> beat_s) {
    if (to_s - from_s < shortest_line_s) return;
    const auto first = beat_s ? count_in_start(a_, from_s, to_s, *beat_s) : std::nullopt;
    if (first) {
      add(what_sounds(a_, from_s, *first, h_.score.instrument), from_s, *first);
      add(SegmentKind::count_in, *first, to_s);
    } else {
      add(what_sounds(a_, from_s, to_s, h_.score.instrument), from_s, to_s);
    }
  }

  void add(SegmentKind kind, double from_s, double to_s) {
    if (to_s - from_s < shortest_line_s) return;
    Segment s;
    s.kind = kind;
    s.from = Seconds(from_s);
    s.to = Seconds(to_s);
    h_.segments.push_back(s);
  }

  const Aligned& a_;
  Hearing& h_;
};

}  // namespace

void assemble_segments(const Aligned& aligned, Hearing& hearing) {
  Segments(aligned, hearing).run();
}

}  // namespace endpin::listen
