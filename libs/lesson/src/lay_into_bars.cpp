#include <algorithm>
#include <cassert>
#include <map>
#include <string>
#include <utility>

#include "endpin/lesson/line.h"

namespace endpin {
namespace {

class Layer {
 public:
  explicit Layer(const TimeSignature& time) : bar_length_(time.bar_length()) {}

  void lay(const Phrase& phrase) {
    for (const LineNote& t : phrase) add(t);
    if (!bars_.empty() && at_ < bar_length_) add(line_rest(bar_length_ - at_));
  }

  std::vector<Bar> take() && { return std::move(bars_); }

 private:
  void add(const LineNote& t) {
    if (t.in_tuplet()) return add_note(t, *t.written, t.duration, true, true);
    Beats left = t.duration;
    while (left > Beats(0)) {
      open_bar_if_full();
      const Beats piece = std::min(left, bar_length_ - at_);
      add_pieces(t, piece, left == t.duration, left == piece);
      left -= piece;
    }
  }

  // A piece inside one bar, which may need several tied values.
  void add_pieces(const LineNote& t, Beats piece, bool first, bool last) {
    const std::vector<WrittenDuration> values = written_values(piece);
    assert(!values.empty());
    for (std::size_t i = 0; i < values.size(); ++i) {
      add_note(t, values[i], values[i].beats(), first && i == 0, last && i + 1 == values.size());
    }
  }

  void open_bar_if_full() {
    if (!bars_.empty() && at_ < bar_length_) return;
    Bar bar;
    bar.number = std::to_string(bars_.size() + 1);
    bar.length = bar_length_;
    bars_.push_back(std::move(bar));
    at_ = Beats(0);
  }

  void add_note(const LineNote& t, const WrittenDuration& written, Beats duration, bool first,
                bool last) {
    open_bar_if_full();
    Note note;
    note.onset = at_;
    note.duration = duration;
    note.written = written;
    note.tuplets = t.tuplets;
    if (t.pitch) {
      note.pitch = *t.pitch;
      note.tie_stop = !first || t.tie_stop;
      note.tie_start = !last || t.tie_start;
      if (first && t.slur_start) note.slurs.push_back({1, true});
      if (last && t.slur_stop) note.slurs.push_back({1, false});
      note.plucked = t.plucked;
      if (first) note.articulations = t.articulations;
      if (first) note.printed = t.printed;
    } else {
      note.rest = RestKind::rest;
    }
    bars_.back().notes.push_back(std::move(note));
    at_ += duration;
  }

  Beats bar_length_;
  Beats at_;
  std::vector<Bar> bars_;
};

// A stop before a start on one note, or one slur would close itself.
void order_slurs(Note& note) {
  std::stable_sort(note.slurs.begin(), note.slurs.end(),
                   [](const SlurEnd& a, const SlurEnd& b) { return !a.starts && b.starts; });
}

// Slurs whose other end is not here are taken away.
void drop_dangling_slurs(std::vector<Bar>& bars) {
  std::map<int, Note*> open;
  std::vector<std::pair<Note*, int>> dangling;
  for (Bar& bar : bars) {
    for (Note& note : bar.notes) {
      for (const SlurEnd& end : note.slurs) {
        if (end.starts) {
          open[end.number] = &note;
        } else if (open.erase(end.number) == 0) {
          dangling.emplace_back(&note, end.number);
        }
      }
    }
  }
  for (auto& [note, number] : dangling) {
    std::erase(note->slurs, SlurEnd{number, false});
  }
  for (auto& [number, note] : open) std::erase(note->slurs, SlurEnd{number, true});
}

Change change(ChangeKind kind, const Ground& ground) {
  Change result;
  result.kind = kind;
  result.key = ground.key;
  result.time = ground.time;
  result.clef = ground.clef;
  return result;
}

}  // namespace

std::vector<Bar> lay_into_bars(const std::vector<Phrase>& phrases, const TimeSignature& time) {
  Layer layer(time);
  for (const Phrase& phrase : phrases) layer.lay(phrase);
  return std::move(layer).take();
}

Score exercise_score(const Ground& ground, std::vector<Bar> bars, std::string_view key,
                     bool repeat) {
  assert(!bars.empty());
  Score score;
  Part part = ground.part;
  part.bars = std::move(bars);
  int number = 0;
  int note_number = 0;
  for (Bar& bar : part.bars) {
    bar.line = 0;
    bar.number = std::to_string(++number);
    for (Note& note : bar.notes) {
      note.id = std::string(key) + "-n" + std::to_string(++note_number);
      note.line = 0;
      order_slurs(note);
    }
  }
  Bar& first = part.bars.front();
  first.changes = {change(ChangeKind::clef, ground), change(ChangeKind::key, ground),
                   change(ChangeKind::time, ground)};
  part.bars.back().right = BarLine::final_line;
  part.bars.back().navigation.repeat_end = repeat;
  score.parts.push_back(std::move(part));
  return score;
}

std::vector<Bar> excerpt(const Part& part, int first, int count) {
  const auto from = part.bars.begin() + first;
  std::vector<Bar> bars(from, from + count);
  for (Bar& bar : bars) {
    bar.navigation = {};
    bar.directions.clear();
    bar.multi_rest = 0;
    bar.repeat_of_bars = 0;
    bar.new_system = false;
    bar.right = BarLine::regular;
    // Clefs inside the excerpt stay; what begins with it is the ground's.
    if (&bar == &bars.front()) {
      std::erase_if(bar.changes, [](const Change& c) { return c.at == Beats(0); });
    }
  }
  for (Note& note : bars.front().notes) {
    if (note.onset == Beats(0)) note.tie_stop = false;
  }
  Beats end;
  for (const Note& note : bars.back().notes) end = std::max(end, note.onset + note.duration);
  for (Note& note : bars.back().notes) {
    if (note.onset + note.duration == end) note.tie_start = false;
  }
  drop_dangling_slurs(bars);
  return bars;
}

}  // namespace endpin
