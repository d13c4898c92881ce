#include "slurs.h"

#include <map>
#include <utility>

namespace endpin {
namespace {

struct Place {
  int bar = 0;
  int note = 0;
};

struct Slur {
  Place first;
  Place last;
  int first_voice = 1;
  int last_voice = 1;
};

/// Slurs paired by number, in the order in which they end, so that an inner one comes before the
/// outer.
std::vector<Slur> pair_up(const Part& part) {
  std::vector<Slur> slurs;
  std::map<int, std::pair<Place, int>> open;  // by number: where it starts, and the voice
  for (int bar = 0; bar < static_cast<int>(part.bars.size()); ++bar) {
    const std::vector<Note>& notes = part.bars[bar].notes;
    for (int n = 0; n < static_cast<int>(notes.size()); ++n) {
      for (const SlurEnd& end : notes[n].slurs) {
        const auto start = open.find(end.number);
        if (end.starts || start == open.end()) continue;
        slurs.push_back({start->second.first, {bar, n}, start->second.second, notes[n].voice});
        open.erase(start);
      }
      for (const SlurEnd& end : notes[n].slurs) {
        if (end.starts) open[end.number] = {{bar, n}, notes[n].voice};
      }
    }
  }
  return slurs;
}

bool before(const Bar& a_bar, Place a, const Bar& b_bar, Place b) {
  if (a.bar != b.bar) return a.bar < b.bar;
  return a_bar.notes[a.note].onset < b_bar.notes[b.note].onset;
}

class Filler {
 public:
  explicit Filler(const Part& part) : part_(part) {
    for (const Bar& bar : part.bars) table_.emplace_back(bar.notes.size(), -1);
  }

  void fill(const Slur& slur) {
    const Bar& first = part_.bars[slur.first.bar];
    const Bar& last = part_.bars[slur.last.bar];
    if (!before(first, slur.first, last, slur.last)) return;
    const int id = next_++;
    for (int bar = slur.first.bar; bar <= slur.last.bar; ++bar) {
      for (int n = 0; n < static_cast<int>(part_.bars[bar].notes.size()); ++n) {
        const Note& note = part_.bars[bar].notes[n];
        const bool its_voice = note.voice == slur.first_voice || note.voice == slur.last_voice;
        if (!its_voice || note.is_rest() || table_[bar][n] != -1) continue;
        if (bar == slur.first.bar && note.onset < first.notes[slur.first.note].onset) continue;
        if (bar == slur.last.bar && last.notes[slur.last.note].onset < note.onset) continue;
        table_[bar][n] = id;
      }
    }
  }

  SlurTable take() { return std::move(table_); }

 private:
  const Part& part_;
  SlurTable table_;
  int next_ = 0;
};

}  // namespace

SlurTable slur_table(const Part& part) {
  Filler filler(part);
  for (const Slur& slur : pair_up(part)) {
    // A slur over hundreds of bars is an open end somewhere: it would also cost its length each.
    constexpr int longest = 64;
    if (slur.last.bar - slur.first.bar <= longest) filler.fill(slur);
  }
  return filler.take();
}

}  // namespace endpin
