// What was left out, played otherwise, put in, or gone back to.
#include <algorithm>
#include <cmath>

#include "measure/open_strings.h"
#include "verdicts/take_view.h"

namespace endpin::listen {
namespace {

constexpr int fewest_in_row = 3;  // ours: two are said one by one

// All of it was played in another pass.
bool is_left_out_repeat(const TakeView& take, const std::vector<int>& notes) {
  if (notes.size() < 2) return false;
  // The first ending is of the first pass alone: most of the notes are enough.
  const auto elsewhere = std::count_if(notes.begin(), notes.end(), [&](int i) {
    for (int j = 0; j < take.size(); ++j) {
      const bool same = take.note(j).id == take.note(i).id && !take.note(i).id.empty();
      if (same && take.note(j).pass != take.note(i).pass && take.heard(j)) return true;
    }
    return false;
  });
  return static_cast<std::size_t>(elsewhere) * 3 > notes.size() * 2;
}

void add_missed(const TakeView& take, Findings& out) {
  for (int i = 0; i < take.size(); ++i) {
    if (take.note(i).state != NoteState::missed) continue;
    std::vector<int> notes;
    while (i < take.size() && take.note(i).state == NoteState::missed) notes.push_back(i++);
    const std::size_t count = notes.size();
    const bool repeat = is_left_out_repeat(take, notes);
    Finding f = take.about(FindingKind::missed, std::move(notes),
                           repeat       ? "finding.missed.repeat"
                           : count == 1 ? "finding.missed.note"
                                        : "finding.missed.notes");
    f.message_args["count"] = static_cast<double>(count);
    f.confidence = 0.9;
    out.push_back(std::move(f));
  }
}

// How far the key signature moves a note name: +1 for a sharp of the key, −1 for a flat.
int altered_by_key(Step step, int fifths) {
  const int place = line_of_fifths(SpelledPitch{step, 0, 4});  // F −1, C 0, G 1 … B 5
  if (fifths > 0 && place + 1 < fifths) return 1;
  if (fifths < 0 && 5 - place < -fifths) return -1;
  return 0;
}

// The written note without its sharp or flat, or with the one that the key gives it.
bool accidental_forgotten(const TakeView& take, int i) {
  const SpelledPitch p = take.written(i).spelled;
  const int heard = take.sound(i).midi;
  if (p.alter != 0 && heard == p.midi() - p.alter) return true;
  const int by_key = altered_by_key(p.step, take.timeline().fifths);
  return p.alter != by_key && heard == p.midi() - p.alter + by_key;
}

bool is_wrong(const TakeView& take, int i) {
  return i < take.size() && take.note(i).state == NoteState::wrong && take.note(i).heard;
}

// Many in a row have one cause: the hand stood elsewhere, or the place was lost.
void say_wrong_row(const TakeView& take, int from, int to, Findings& out) {
  std::vector<int> notes;
  for (int i = from; i < to; ++i) notes.push_back(i);
  Finding f = take.about(FindingKind::wrong_note, notes, "finding.wrong-note.row");
  f.message_args["count"] = static_cast<double>(notes.size());
  f.confidence = 0.9;
  out.push_back(std::move(f));
}

void add_wrong(const TakeView& take, Findings& out) {
  for (int i = 0; i < take.size(); ++i) {
    if (!is_wrong(take, i)) continue;
    int to = i;
    while (is_wrong(take, to)) ++to;
    if (to - i >= fewest_in_row) {
      say_wrong_row(take, i, to, out);
      i = to - 1;
      continue;
    }
    const bool forgotten = accidental_forgotten(take, i);
    Finding f = take.about(forgotten ? FindingKind::missed_accidental : FindingKind::wrong_note,
                           {i}, forgotten ? "finding.missed-accidental" : "finding.wrong-note");
    const int heard = take.sound(i).midi;
    SpelledPitch as = spell(heard, take.timeline().fifths);
    const SpelledPitch written = take.written(i).spelled;
    if (forgotten) {
      as = written;
      as.alter += heard - written.midi();
    }
    f.message_args["heard"] = as.text();
    f.evidence["semitones"] = static_cast<double>(heard - take.written(i).midi);
    f.confidence = 0.9;
    out.push_back(std::move(f));
  }
}

// No string of the instrument goes so low, though it be tuned a semitone low.
bool is_out_of_reach(const TakeView& take, int midi) {
  const auto* strings = open_strings(take.timeline().instrument);
  return strings && midi < strings->back().midi - 1;
}

// Of a whole passage the first tone stands for all.
void add_extra(const TakeView& take, Findings& out) {
  int said_after = -1;
  for (const ExtraNote& e : take.extra()) {
    if (e.after_index < 0 || e.after_index >= take.size()) continue;
    if (is_out_of_reach(take, e.midi)) continue;
    if (e.after_index == said_after) {
      out.back().to = std::max(out.back().to, e.offset);
      continue;
    }
    said_after = e.after_index;
    std::vector<int> notes{e.after_index};
    if (e.after_index + 1 < take.size()) notes.push_back(e.after_index + 1);
    const bool again = e.midi == take.written(e.after_index).midi;
    Finding f = take.about(FindingKind::extra, notes,
                           again ? "finding.extra.again" : "finding.extra.other");
    f.from = e.onset;
    f.to = e.offset;
    f.bars = {take.written(e.after_index).bar};
    f.message_args["bars"] = f.bars;
    f.message_args["heard"] = spell(e.midi, take.timeline().fifths).text();
    f.confidence = 0.85;
    out.push_back(std::move(f));
  }
}

void add_restarts(const TakeView& take, Findings& out) {
  for (const Restart& r : take.restarts()) {
    if (r.to_index < 0 || r.from_index < r.to_index || r.from_index >= take.size()) continue;
    if (r.to_index == 0 && r.from_index + 1 == take.size()) continue;  // all of it, once more
    std::vector<int> notes;
    for (int i = r.to_index; i <= r.from_index; ++i) notes.push_back(i);
    Finding f = take.about(FindingKind::restart, notes, "finding.restart");
    f.from = r.time;
    f.to = r.time;
    f.message_args["stopped"] = std::vector{take.written(r.from_index).bar};
    f.message_args["again"] = std::vector{take.written(r.to_index).bar};
    f.confidence = 0.95;
    out.push_back(std::move(f));
  }
}

}  // namespace

void add_note_findings(const TakeView& take, Findings& out) {
  add_missed(take, out);
  add_wrong(take, out);
  add_extra(take, out);
  add_restarts(take, out);
}

}  // namespace endpin::listen
