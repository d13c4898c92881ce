#include "followed_hearing.h"

#include <algorithm>
#include <map>
#include <utility>

namespace endpin::desk {
namespace {

using Name = std::pair<std::string, int>;

bool same(const NoteHearing& heard, const TimelineNote& note) {
  return heard.id == note.id && heard.pass == note.pass && heard.midi == note.midi &&
         heard.duration == note.duration;
}

bool is_of(const Hearing& hearing, const Timeline& now) {
  return hearing.notes.size() == now.notes.size() &&
         std::equal(hearing.notes.begin(), hearing.notes.end(), now.notes.begin(), same);
}

class Follower {
 public:
  Follower(const Hearing& heard, const Timeline& now) {
    for (const NoteHearing& note : heard.notes) {
      knows_.emplace(Name{note.id, note.pass}, &note);
    }
    std::map<Name, int> places;
    for (const TimelineNote& note : now.notes) places[{note.id, note.pass}] = note.index;
    int last = -1;
    for (const NoteHearing& note : heard.notes) {
      const auto place = places.find({note.id, note.pass});
      const bool there = place != places.end();
      if (there) last = place->second;
      reached_.push_back(last);
      holds_.push_back(there && same(note, now.notes[static_cast<std::size_t>(last)]));
    }
  }

  bool knows_any() const {
    return std::any_of(holds_.begin(), holds_.end(), [](bool holds) { return holds; });
  }

  NoteHearing note(const TimelineNote& note) const {
    NoteHearing told;
    const auto known = knows_.find({note.id, note.pass});
    if (known != knows_.end()) told = *known->second;
    const bool holds = known != knows_.end() && same(told, note);
    told.index = note.index;
    told.id = note.id;
    told.bar = note.bar;
    told.pass = note.pass;
    told.onset = note.onset;
    told.duration = note.duration;
    told.midi = note.midi;
    if (holds) return told;
    told.state = NoteState::uncertain;
    told.heard.reset();
    return told;
  }

  /// Where the note is now; of one that is gone, the last before it.
  int index(int before) const {
    if (before < 0 || reached_.empty()) return before;
    return reached_[std::min(static_cast<std::size_t>(before), reached_.size() - 1)];
  }
  int note_index(int before) const { return std::max(0, index(before)); }
  std::optional<int> note_index(std::optional<int> before) const {
    return before ? std::optional(note_index(*before)) : std::nullopt;
  }

  /// False: all that it is about is another note now.
  bool follow(Finding& finding) const {
    if (finding.notes.empty()) return true;
    std::erase_if(finding.notes, [&](int note) {
      return note < 0 || note >= static_cast<int>(holds_.size()) ||
             !holds_[static_cast<std::size_t>(note)];
    });
    for (int& note : finding.notes) note = note_index(note);
    return !finding.notes.empty();
  }

 private:
  std::map<Name, const NoteHearing*> knows_;
  std::vector<int> reached_;
  std::vector<bool> holds_;
};

}  // namespace

Hearing followed(Hearing hearing, const Timeline& now) {
  const bool several = std::any_of(hearing.notes.begin(), hearing.notes.end(),
                                   [](const NoteHearing& note) { return note.item != 0; });
  if (several || hearing.notes.empty() || is_of(hearing, now)) return hearing;
  const Follower follower(hearing, now);
  if (!follower.knows_any()) return hearing;
  Hearing told = hearing;
  told.notes.clear();
  for (const TimelineNote& note : now.notes) told.notes.push_back(follower.note(note));
  told.range_from = follower.note_index(told.range_from);
  told.range_to = follower.note_index(told.range_to);
  for (Segment& segment : told.segments) {
    segment.from_index = follower.note_index(segment.from_index);
    segment.to_index = follower.note_index(segment.to_index);
  }
  for (ExtraNote& extra : told.extra) extra.after_index = follower.index(extra.after_index);
  for (Restart& restart : told.restarts) {
    restart.from_index = follower.note_index(restart.from_index);
    restart.to_index = follower.note_index(restart.to_index);
  }
  std::erase_if(told.findings, [&](Finding& finding) { return !follower.follow(finding); });
  return told;
}

}  // namespace endpin::desk
