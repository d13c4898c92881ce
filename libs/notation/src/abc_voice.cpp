#include "abc_voice.h"

#include <algorithm>
#include <array>
#include <cstdlib>

#include "fmt/format.h"
#include "note_writer.h"

namespace endpin::notation {
namespace {

constexpr std::size_t most_notes = 1'000'000;
constexpr Beats longest_bar{1024};

}  // namespace

void AbcVoice::change(Change change) {
  change.at = at_;
  // The last of several at one place holds.
  std::erase_if(bar_.changes,
                [&](const Change& c) { return c.kind == change.kind && c.at == change.at; });
  bar_.changes.push_back(std::move(change));
}

void AbcVoice::set_key(const AbcKey& key) {
  key_ = key;
  accidentals_.clear();
  Change c;
  c.kind = ChangeKind::key;
  c.key = key.signature;
  change(c);
}

void AbcVoice::set_time(const TimeSignature& time) {
  time_ = time;
  Change c;
  c.kind = ChangeKind::time;
  c.time = time;
  change(c);
}

void AbcVoice::set_properties(const AbcProperties& properties) {
  if (!properties.name.empty()) part_.name = properties.name;
  if (!properties.short_name.empty()) part_.abbreviation = properties.short_name;
  if (properties.transpose) set_transposition(*properties.transpose);
  if (properties.octave) octave_ = *properties.octave;
  if (!properties.clef) return;
  clef_octave_ = properties.clef->octave_change;
  Change c;
  c.kind = ChangeKind::clef;
  c.clef = *properties.clef;
  change(c);
}

void AbcVoice::set_transposition(int semitones) {
  // Steps of the staff for each semitone, as intervals are spelled: a minor second, a major second
  // …
  constexpr std::array<int, 12> steps{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6};
  const int within = std::abs(semitones) % 12;
  const int sign = semitones < 0 ? -1 : 1;
  Change c;
  c.kind = ChangeKind::transposition;
  c.transpose = {sign * steps[static_cast<std::size_t>(within)], sign * within, semitones / 12};
  const bool at_beginning = part_.bars.empty() && at_ == Beats(0);
  if (at_beginning) {
    part_.transpose = c.transpose;
  } else {
    change(c);
  }
}

void AbcVoice::decorate(std::string_view name) {
  Navigation& navigation = bar_.navigation;
  const bool coda_before = navigation.coda;
  AbcDecoration decoration = apply_decoration(name, waiting_, navigation);
  if (name == "coda") {
    navigation.coda = coda_before;
    coda_signs_.push_back({part_.bars.size(), at_});
  }
  if (decoration.direction) add(*decoration.direction);
  if (!decoration.known) {
    shared_.messages.warn(shared_.line, fmt::format("the decoration !{}! is not known", name),
                          "It was left out.");
  }
}

void AbcVoice::add(Direction direction) {
  direction.at = at_;
  if (direction.kind == DirectionKind::pizzicato) plucked_ = true;
  if (direction.kind == DirectionKind::arco) plucked_ = false;
  bar_.directions.push_back(std::move(direction));
}

void AbcVoice::start_tuplet(int actual, int normal, int notes) {
  tuplet_actual_ = actual;
  tuplet_normal_ = normal;
  tuplet_left_ = notes;
  tuplet_begins_ = true;
}

void AbcVoice::start_graces(bool slash) {
  in_graces_ = true;
  slash_ = slash;
}

/// The alteration that a note has by what is written before it, by an earlier accidental, by the
/// tie that leads to it, or by the key.
int AbcVoice::alter_for(SpelledPitch pitch, std::optional<int> accidental) {
  const bool all = shared_.reach == AccidentalReach::all_octaves;
  const int place = all ? static_cast<int>(pitch.step) : pitch.staff_step();
  if (accidental) {
    if (shared_.reach != AccidentalReach::none) accidentals_[place] = *accidental;
    return *accidental;
  }
  const auto tied = tied_.find(pitch.staff_step());
  if (tied != tied_.end()) return tied->second;
  const auto said = accidentals_.find(place);
  if (said != accidentals_.end()) return said->second;
  return key_.alters[static_cast<std::size_t>(pitch.step)];
}

Note AbcVoice::made_note() {
  Note note = std::exchange(waiting_, Note{});
  note.line = shared_.line;
  note.voice = overlay_ + 1;
  note.plucked = note.plucked || plucked_;
  return note;
}

void AbcVoice::note(SpelledPitch pitch, std::optional<int> accidental, Beats length) {
  pitch.octave = std::clamp(pitch.octave + octave_ + clef_octave_, -1, 9);
  pitch.alter = alter_for(pitch, accidental);
  Note note = made_note();
  note.pitch = pitch;
  any_note_ = true;
  if (in_graces_) {
    note.grace = true;
    note.grace_slash = slash_;
    note.plucked = false;
    note.written = WrittenDuration{slash_ ? NoteValue::eighth : NoteValue::sixteenth, 0, 1, 1};
    graces_.push_back(std::move(note));
    return;
  }
  if (in_chord_) {
    if (chord_.empty()) chord_length_ = length;
    chord_.push_back(std::move(note));
    return;
  }
  place({std::move(note)}, length);
}

void AbcVoice::end_chord(Beats factor) {
  in_chord_ = false;
  if (!chord_.empty()) place(std::exchange(chord_, {}), chord_length_ * factor);
}

void AbcVoice::rest(Beats length) {
  Note note = made_note();
  note.rest = RestKind::rest;
  place({std::move(note)}, length);
}

void AbcVoice::bar_rests(int count) {
  constexpr int most = 1000;
  count = std::clamp(count, 1, most);
  if (count > 1) bar_.multi_rest = count;
  for (int i = 0; i < count; ++i) {
    Note note = made_note();
    note.rest = RestKind::bar_rest;
    note.duration = time_.bar_length();
    bar_.notes.push_back(std::move(note));
    at_ = reached_ = time_.bar_length();
    filled_ = true;
    if (i + 1 < count) close_bar(BarLine::regular);
  }
}

/// What "A>B" does to B, after A has been changed (ABC 2.1, section 4.4): n marks lengthen one note
/// to 2 - 1/2^n and shorten the other to 1/2^n of it.
Beats AbcVoice::broken_factor() {
  const Beats short_one(1, std::int64_t{1} << std::clamp(broken_ < 0 ? -broken_ : broken_, 0, 3));
  const Beats long_one = Beats(2) - short_one;
  const Beats before = broken_ > 0 ? long_one : short_one;
  const Beats after = broken_ > 0 ? short_one : long_one;
  broken_ = 0;
  const auto [first, end] = last_event_;
  if (end <= first || end > bar_.notes.size()) return Beats(1);
  for (std::size_t i = first; i < end; ++i) {
    Note& note = bar_.notes[i];
    const Beats ratio = note.duration / last_length_;  // the tuplet's
    note.duration = note.duration * before;
    if (const auto plain = plain_value(last_length_ * before); plain && note.written) {
      note.written->value = plain->value;
      note.written->dots = plain->dots;
    } else if (ratio == Beats(1)) {
      note.written = plain_value(note.duration);
    }
  }
  at_ = bar_.notes[first].onset + bar_.notes[first].duration;
  reached_ = std::max(reached_, at_);
  return after;
}

/// The ratio of the tuplet that these notes stand in; marks its ends on the first of them.
std::optional<Beats> AbcVoice::take_tuplet(std::vector<Note>& notes) {
  if (tuplet_left_ <= 0) return std::nullopt;
  --tuplet_left_;
  Tuplet tuplet{tuplet_actual_, tuplet_normal_, 1, tuplet_begins_, false};
  if (tuplet_begins_) notes.front().tuplets.push_back(tuplet);
  tuplet_begins_ = false;
  tuplet.starts = false;
  tuplet.stops = true;
  if (tuplet_left_ == 0) notes.front().tuplets.push_back(tuplet);
  return Beats(tuplet_normal_, tuplet_actual_);
}

void AbcVoice::place(std::vector<Note> notes, Beats length) {
  if (++shared_.notes > most_notes) return;
  if (broken_ != 0) length = length * broken_factor();
  const auto ratio = take_tuplet(notes);
  const Beats exact = ratio ? length * *ratio : length;
  const auto duration = shared_.grid.admit(exact.numerator(), exact.denominator());
  if (!duration || *duration <= Beats(0) || at_ + *duration > longest_bar) {
    shared_.messages.warn(shared_.line, "a note whose length cannot be counted",
                          "It was left out; correct its length, or add bar lines.");
    return;
  }
  last_length_ = length;
  for (Note& grace : graces_) {
    grace.onset = at_;
    grace.voice = overlay_ + 1;
    bar_.notes.push_back(std::move(grace));
  }
  graces_.clear();
  const std::size_t first = bar_.notes.size();
  for (std::size_t i = 0; i < notes.size(); ++i) {
    Note& note = notes[i];
    note.onset = at_;
    note.duration = *duration;
    note.written = plain_value(length);
    if (note.written && ratio) {
      note.written->actual_notes = tuplet_actual_;
      note.written->normal_notes = tuplet_normal_;
    }
    note.in_chord = i > 0;
    const auto held = tied_.find(note.pitch.staff_step());
    note.tie_stop = held != tied_.end() && !note.is_rest() && held->second == note.pitch.alter;
    bar_.notes.push_back(std::move(note));
  }
  connect_slurs(bar_.notes[first]);
  tied_.clear();
  for (std::size_t i = first; i < bar_.notes.size(); ++i) {
    const Note& note = bar_.notes[i];
    if (note.tie_start) tied_[note.pitch.staff_step()] = note.pitch.alter;
  }
  last_event_ = {first, bar_.notes.size()};
  if (!bar_.notes[first].is_rest()) line_notes_.push_back({part_.bars.size(), first});
  at_ += *duration;
  reached_ = std::max(reached_, at_);
  filled_ = true;
}

void AbcVoice::connect_slurs(Note& note) {
  for (; slurs_to_open_ > 0; --slurs_to_open_) note.slurs.push_back({++open_slurs_, true});
}

void AbcVoice::close_slur() {
  if (in_graces_ || in_chord_ || open_slurs_ == 0 || last_event_.second > bar_.notes.size()) return;
  // A slur that closes behind a bar line belongs to the bar before.
  Note* note = nullptr;
  if (last_event_.second > last_event_.first) {
    note = &bar_.notes[last_event_.first];
  } else if (!part_.bars.empty() && !part_.bars.back().notes.empty()) {
    note = &part_.bars.back().notes.back();
  }
  if (note == nullptr) return;
  SlurEnd end{open_slurs_--, false};
  note->slurs.push_back(end);
}

void AbcVoice::tie() {
  if (in_graces_) return;
  if (in_chord_) {
    if (!chord_.empty()) chord_.back().tie_start = true;
    return;
  }
  for (std::size_t i = last_event_.first; i < last_event_.second && i < bar_.notes.size(); ++i) {
    Note& note = bar_.notes[i];
    if (note.is_rest()) continue;
    note.tie_start = true;
    tied_[note.pitch.staff_step()] = note.pitch.alter;
  }
}

void AbcVoice::overlay() {
  constexpr int most = 8;
  if (overlay_ + 1 < most) ++overlay_;
  at_ = Beats(0);
  last_event_ = {0, 0};
}

}  // namespace endpin::notation
