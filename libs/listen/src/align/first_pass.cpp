#include "align/first_pass.h"

#include <string>
#include <unordered_map>

namespace endpin::listen {
namespace {

// Written note of every event and the pass in which it stands, by the event's first note.
struct Written {
  std::string id;
  int pass = 1;
};

std::vector<Written> written_notes(const ScoreModel& score, std::span<const Timeline> items) {
  std::vector<Written> notes;
  for (const Timeline& t : items) {
    for (const TimelineNote& n : t.notes) notes.push_back({n.id, n.pass});
  }
  std::vector<Written> events;
  for (const Event& e : score.events) {
    events.push_back(notes[static_cast<std::size_t>(e.notes.front())]);
  }
  return events;
}

class FirstPass {
 public:
  FirstPass(const ScoreModel& score, std::span<const Timeline> items)
      : score_(score), written_(written_notes(score, items)) {
    for (std::size_t k = 0; k < written_.size(); ++k) {
      if (written_[k].pass == 1 && !written_[k].id.empty()) {
        first_.emplace(key(k), static_cast<int>(k));
      }
    }
  }

  /// The same written notes in the first pass; -1: there is none but this.
  int of(int event) const {
    const auto k = static_cast<std::size_t>(event);
    const auto found = first_.find(key(k));
    return found == first_.end() || found->second == event ? -1 : found->second;
  }

 private:
  std::string key(std::size_t event) const {
    return std::to_string(score_.events[event].item) + ' ' + written_[event].id;
  }

  const ScoreModel& score_;
  std::vector<Written> written_;
  std::unordered_map<std::string, int> first_;
};

}  // namespace

void prefer_first_pass(const ScoreModel& score, std::span<const Timeline> items, Path& path) {
  if (path.placed.empty()) return;
  const FirstPass first_pass(score, items);
  const int begin = first_pass.of(path.placed.front().event);
  if (begin < 0 || !score.events[static_cast<std::size_t>(begin)].first) return;
  std::size_t moved = 0;
  for (Placed& p : path.placed) {
    const int twin = first_pass.of(p.event);
    if (twin < 0 || (moved > 0 && p.jumped_to)) break;
    p.event = twin;
    ++moved;
  }
  if (moved < path.placed.size()) path.placed[moved].jumped_to = true;
}

}  // namespace endpin::listen
