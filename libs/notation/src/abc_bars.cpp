#include <algorithm>

#include "abc_voice.h"

namespace endpin::notation {

void AbcVoice::close_bar(BarLine style) {
  bar_.length = reached_;
  bar_.right = style;
  bar_.line = shared_.line;
  bar_.navigation.ending = ending_;
  bar_.navigation.ending_starts = ending_opens_ && !ending_.empty();
  ending_opens_ = false;
  part_.bars.push_back(std::exchange(bar_, Bar{}));
  ++shared_.bars;
  at_ = reached_ = Beats(0);
  filled_ = false;
  overlay_ = 0;
  accidentals_.clear();
  last_event_ = {0, 0};
}

void AbcVoice::open_ending(const std::vector<int>& numbers) {
  if (!ending_.empty() && !part_.bars.empty()) part_.bars.back().navigation.ending_stops = true;
  ending_ = numbers;
  ending_opens_ = true;
}

/// Repeats and the end of an ending, on the bar that this line closed.
void AbcVoice::apply_line_to_closed_bar(const AbcBarLine& line) {
  if (part_.bars.empty()) return;
  Bar& closed = part_.bars.back();
  if (line.repeats_end > 0) {
    closed.navigation.repeat_end = true;
    closed.navigation.repeat_times = line.repeats_end + 1;
  }
  const bool over = line.closes_ending || line.repeats_end > 0 || line.repeat_starts;
  if (!ending_.empty() && over && !closed.navigation.ending.empty()) {
    closed.navigation.ending_stops = true;
    ending_.clear();
  }
}

void AbcVoice::bar_line(const AbcBarLine& line) {
  if (filled_) {
    close_bar(line.style);
  } else if (!part_.bars.empty() && line.style != BarLine::regular) {
    part_.bars.back().right = line.style;  // a line's end and the next one's beginning
  }
  apply_line_to_closed_bar(line);
  if (line.repeat_starts) bar_.navigation.repeat_start = true;
  if (!line.ending.empty()) open_ending(line.ending);
}

/// Jumps that stand after the last note belong to the bar before them.
Part AbcVoice::finish() {
  if (filled_) {
    close_bar(BarLine::regular);
  } else if (!part_.bars.empty()) {
    Navigation& last = part_.bars.back().navigation;
    last.fine = last.fine || bar_.navigation.fine;
    last.da_capo = last.da_capo || bar_.navigation.da_capo;
    last.dal_segno = last.dal_segno || bar_.navigation.dal_segno;
    last.to_coda = last.to_coda || bar_.navigation.to_coda;
    for (Direction& direction : bar_.directions) {
      direction.at = part_.bars.back().length;
      part_.bars.back().directions.push_back(direction);
    }
  }
  if (!ending_.empty() && !part_.bars.empty()) part_.bars.back().navigation.ending_stops = true;
  std::erase_if(coda_signs_, [&](const CodaSign& s) { return s.bar >= part_.bars.size(); });
  resolve_coda_signs(part_, coda_signs_);
  for (Bar& bar : part_.bars) {
    std::stable_sort(bar.notes.begin(), bar.notes.end(), [](const Note& a, const Note& b) {
      return a.onset != b.onset ? a.onset < b.onset : a.voice < b.voice;
    });
    std::stable_sort(bar.directions.begin(), bar.directions.end(),
                     [](const Direction& a, const Direction& b) { return a.at < b.at; });
  }
  return std::move(part_);
}

}  // namespace endpin::notation
