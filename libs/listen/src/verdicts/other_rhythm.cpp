#include <cmath>
#include <vector>

#include "verdicts/time_findings.h"

namespace endpin::listen {
namespace {

// Distances are root mean squares of places within the bar, 0…1 (ours).
constexpr double own_rhythm = 0.035;    // what is nearer to its own is its own
constexpr double rhythms_apart = 0.03;  // of twins that can be told from each other
constexpr double much_nearer = 0.4;     // to the twin's rhythm than to its own
constexpr double shortest_bar_s = 0.2;
constexpr std::size_t fewest_notes = 3;

struct PlayedBar {
  std::string number;
  std::vector<int> notes;
  std::vector<double> written, heard;  // places within the bar, 0…1
  bool whole = false;                  // all of it was heard, and the beginning of the next
};

void measure_heard(const TakeView& take, const TimelineBar& written, int next, PlayedBar& bar) {
  const Beats end = written.start + written.length;
  const bool closed = next < take.size() && take.heard(next) && take.written(next).onset == end &&
                      take.written(bar.notes.front()).onset == written.start;
  if (!bar.whole || !closed || bar.notes.size() < fewest_notes) {
    bar.whole = false;
    return;
  }
  const double from = take.sound(bar.notes.front()).onset.value();
  const double length_s = take.sound(next).onset.value() - from;
  bar.whole = length_s > shortest_bar_s;
  for (const int k : bar.notes) {
    bar.heard.push_back((take.sound(k).onset.value() - from) / length_s);
  }
}

std::vector<PlayedBar> played_bars(const TakeView& take) {
  std::vector<PlayedBar> all;
  int i = 0;
  for (const TimelineBar& written : take.timeline().bars) {
    PlayedBar bar;
    bar.number = written.number;
    bar.whole = true;
    while (i < take.size() && take.written(i).onset < written.start) ++i;
    for (; i < take.size() && take.written(i).onset < written.start + written.length; ++i) {
      bar.whole = bar.whole && take.heard(i) && take.alone(i);
      bar.notes.push_back(i);
      bar.written.push_back((take.written(i).onset - written.start).to_double() /
                            written.length.to_double());
    }
    if (bar.notes.empty()) continue;
    measure_heard(take, written, i, bar);
    all.push_back(std::move(bar));
  }
  return all;
}

bool same_pitches(const TakeView& take, const PlayedBar& a, const PlayedBar& b) {
  if (a.notes.size() != b.notes.size()) return false;
  for (std::size_t k = 0; k < a.notes.size(); ++k) {
    if (take.written(a.notes[k]).midi != take.written(b.notes[k]).midi) return false;
  }
  return true;
}

double distance(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0;
  for (std::size_t k = 0; k < a.size(); ++k) sum += (a[k] - b[k]) * (a[k] - b[k]);
  return std::sqrt(sum / static_cast<double>(a.size()));
}

bool played_as(const PlayedBar& bar, const PlayedBar& twin, double own) {
  return distance(twin.written, bar.written) >= rhythms_apart &&
         distance(bar.heard, twin.written) <= much_nearer * own;
}

}  // namespace

void add_other_rhythm(TimeVerdicts& verdicts) {
  const TakeView& take = verdicts.take();
  const auto all = played_bars(take);
  for (const PlayedBar& bar : all) {
    if (!bar.whole) continue;
    const double own = distance(bar.heard, bar.written);
    if (own < own_rhythm) continue;
    for (const PlayedBar& twin : all) {
      if (twin.number == bar.number || !same_pitches(take, bar, twin)) continue;
      if (!played_as(bar, twin, own)) continue;
      Finding f = take.about(FindingKind::other_bar_rhythm, bar.notes, "finding.other-bar-rhythm");
      f.message_args["twin"] = std::vector{twin.number};
      f.evidence["own_distance"] = own;
      f.evidence["twin_distance"] = distance(bar.heard, twin.written);
      verdicts.say(std::move(f), 0.9);
      break;
    }
  }
}

}  // namespace endpin::listen
