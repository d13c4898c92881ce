#include "part_writer.h"

#include <algorithm>
#include <numeric>
#include <set>

#include "beams.h"
#include "note_writer.h"

namespace endpin::notation {
namespace {

/// The common denominator of all places and lengths of `part`.
std::int64_t common_denominator(const Part& part) {
  std::int64_t common = 1;
  const auto take = [&](Beats b) { common = std::lcm(common, b.denominator()); };
  for (const Bar& bar : part.bars) {
    take(bar.length);
    for (const Note& note : bar.notes) {
      take(note.onset);
      take(note.duration);
    }
    for (const Change& change : bar.changes) take(change.at);
    for (const Direction& direction : bar.directions) take(direction.at);
  }
  return common;
}

std::set<int> voices_of(const Bar& bar) {
  std::set<int> voices;
  for (const Note& note : bar.notes) voices.insert(note.voice);
  return voices;
}

}  // namespace

PartWriter::PartWriter(XmlText& xml, const Part& part, const MarkingsById& markings)
    : xml_(xml),
      part_(part),
      markings_(markings),
      contexts_(contexts(part)),
      divisions_(common_denominator(part)) {}

long long PartWriter::divisions(Beats length) const {
  const Beats count = length * Beats(divisions_);
  return count.numerator();
}

void PartWriter::write() {
  for (std::size_t i = 0; i < part_.bars.size(); ++i) write_bar(i);
}

void PartWriter::write_bar(std::size_t index) {
  const Bar& bar = part_.bars[index];
  cursor_ = reached_ = Beats(0);
  items_.clear();
  for (const Change& change : bar.changes) items_.push_back({change.at, &change, nullptr});
  for (const Direction& d : bar.directions) items_.push_back({d.at, nullptr, &d});
  std::stable_sort(items_.begin(), items_.end(),
                   [](const Item& a, const Item& b) { return a.at < b.at; });
  next_item_ = 0;
  beams_ = beams(bar, contexts_[index].time);
  accidentals_.start_bar(contexts_[index].key.fifths);

  xml_.open("measure", {{"number", bar.number}, {"implicit", bar.implicit ? "yes" : ""}});
  if (bar.new_system) xml_.empty("print", {{"new-system", "yes"}});
  write_left_barline(bar);
  write_first_attributes(index);
  write_measure_style(index);
  write_signs_at_start(bar.navigation);
  for (const int voice : voices_of(bar)) write_voice(bar, voice);
  fill(bar);
  write_jumps_at_end(bar);
  write_right_barline(bar);
  xml_.close();
}

void PartWriter::write_voice(const Bar& bar, int voice) {
  move_to(Beats(0));
  for (std::size_t i = 0; i < bar.notes.size(); ++i) {
    const Note& note = bar.notes[i];
    if (note.voice != voice) continue;
    // Signatures, words and marks go between the notes of the first voice where they can.
    if (!note.in_chord) {
      write_items_until(note.onset);
      move_to(note.onset);
    }
    write_one_note(bar, i);
  }
}

void PartWriter::write_items_until(Beats place) {
  while (next_item_ < items_.size() && items_[next_item_].at <= place) {
    const Beats at = items_[next_item_].at;
    if (at < cursor_ && at != place) break;  // inside a note: after this voice
    move_to(at);
    std::vector<const Change*> changes;
    for (; next_item_ < items_.size() && items_[next_item_].at == at; ++next_item_) {
      const Item& item = items_[next_item_];
      if (item.change != nullptr) changes.push_back(item.change);
      if (item.direction != nullptr) {
        write_changes(changes);
        changes.clear();
        write_direction(*item.direction);
      }
    }
    write_changes(changes);
  }
}

void PartWriter::write_one_note(const Bar& bar, std::size_t index) {
  const Note& note = bar.notes[index];
  NoteSurroundings around;
  around.duration = divisions(note.duration);
  around.beams = beams_[index];
  around.staves = part_.staves;
  if (!note.is_rest() && !note.unpitched) {
    around.accidental = accidentals_.for_note(note.pitch, note.staff, note.tie_stop);
    around.ends_glissando = ends_glissando(note);
  }
  const auto placed = markings_.find(note.id);
  if (placed != markings_.end()) around.placed = &placed->second;
  write_note(xml_, note, around);
  if (!note.in_chord && !note.grace) cursor_ = note.onset + note.duration;
  if (!note.cue) reached_ = std::max(reached_, note.onset + note.duration);
}

bool PartWriter::ends_glissando(const Note& note) {
  bool& open = glissando_[note.voice];
  const bool ends = open && !note.in_chord;
  open = note.ornament == Ornament::glissando || (open && note.in_chord);
  return ends;
}

void PartWriter::move_to(Beats place) {
  if (place == cursor_) return;
  const Beats distance = place > cursor_ ? place - cursor_ : cursor_ - place;
  xml_.open(place > cursor_ ? "forward" : "backup");
  xml_.leaf("duration", divisions(distance));
  xml_.close();
  cursor_ = place;
  reached_ = std::max(reached_, place);
}

/// The items that no note stood at, and the rest of a bar that its notes do not fill.
void PartWriter::fill(const Bar& bar) {
  while (next_item_ < items_.size()) {
    const Beats at = items_[next_item_].at;
    move_to(at);
    write_items_until(at);
  }
  if (reached_ < bar.length) move_to(bar.length);
}

}  // namespace endpin::notation
