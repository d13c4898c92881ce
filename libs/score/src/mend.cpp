#include "endpin/score/mend.h"

#include <algorithm>
#include <iterator>
#include <unordered_map>

#include "endpin/score/check.h"

namespace endpin {
namespace {

struct Place {
  std::size_t part = 0;
  std::size_t bar = 0;
};

bool sounds_alone(const Note& note) { return !note.is_rest() && !note.grace && !note.unpitched; }

class Mender {
 public:
  explicit Mender(Score& score) : score_(score) {
    for (std::size_t p = 0; p < score_.parts.size(); ++p) {
      for (std::size_t b = 0; b < score_.parts[p].bars.size(); ++b) {
        for (const Note& note : score_.parts[p].bars[b].notes) places_[note.id] = {p, b};
      }
    }
  }

  void add_new(const Mend& mend) {
    const auto found = places_.find(mend.after);
    if (mend.after.empty() || found == places_.end() || places_.count(mend.id) > 0) return;
    const Place place = found->second;
    add(score_.parts[place.part].bars[place.bar], mend);
    places_[mend.id] = place;
    settle(place);
  }

  void change(const Mend& mend) {
    const auto found = places_.find(mend.id);
    if (found == places_.end()) return;
    const Place place = found->second;
    set_value(score_.parts[place.part].bars[place.bar], mend);
    set_pitch(place, mend);
    settle(place);
  }

  void remove(const std::string& id) {
    const auto found = places_.find(id);
    if (found == places_.end()) return;
    const Place place = found->second;
    places_.erase(found);
    remove(place, id);
    settle(place);
  }

 private:
  static std::vector<Note>::iterator at(Bar& bar, std::string_view id) {
    return std::find_if(bar.notes.begin(), bar.notes.end(),
                        [&](const Note& note) { return note.id == id; });
  }

  // Everything in the voice that begins at `from` or later.
  static void shift(Bar& bar, int voice, Beats from, Beats by) {
    for (Note& note : bar.notes) {
      if (note.voice == voice && note.onset >= from) note.onset += by;
    }
  }

  static void add(Bar& bar, const Mend& mend) {
    const auto before = at(bar, mend.after);
    Note note;
    note.id = mend.id;
    note.voice = before->voice;
    note.staff = before->staff;
    note.plucked = before->plucked;
    note.pitch = before->pitch;
    if (before->is_rest() && !mend.pitch) note.rest = RestKind::rest;
    note.written = WrittenDuration{mend.value.value_or(NoteValue::quarter), mend.dots.value_or(0)};
    note.duration = note.written->beats();
    note.onset = before->onset + before->duration;
    shift(bar, note.voice, note.onset, note.duration);
    bar.notes.push_back(std::move(note));
  }

  void set_value(Bar& bar, const Mend& mend) {
    const auto note = at(bar, mend.id);
    if (note == bar.notes.end() || (!mend.value && !mend.dots)) return;
    WrittenDuration written = note->written.value_or(WrittenDuration{});
    written.value = mend.value.value_or(written.value);
    written.dots = mend.dots.value_or(written.dots);
    const Beats onset = note->onset;
    const Beats before = note->duration;
    const int voice = note->voice;
    const bool grace = note->grace;
    for (Note& one : bar.notes) {
      if (one.voice != voice || one.onset != onset || one.grace != grace) continue;
      if (one.id != mend.id && !same_chord(one, *note)) continue;
      one.written = written;
      if (!grace) one.duration = written.beats();
      if (one.rest == RestKind::bar_rest) one.rest = RestKind::rest;
    }
    if (!grace) shift(bar, voice, onset + before, written.beats() - before);
  }

  static bool same_chord(const Note& a, const Note& b) {
    return a.staff == b.staff && (a.in_chord || b.in_chord);
  }

  void set_pitch(Place place, const Mend& mend) {
    Bar& bar = score_.parts[place.part].bars[place.bar];
    const auto note = at(bar, mend.id);
    if (note == bar.notes.end()) return;
    if (mend.rest) return silence(place, *note);
    if (!mend.pitch) return;
    if (note->is_rest()) {
      note->rest = RestKind::none;
      if (!note->written) note->written = WrittenDuration{};
      note->pitch = *mend.pitch;
      return;
    }
    for (Note* tied : tied_with(place, *note)) set(*tied, *mend.pitch);
  }

  // Fingers and strings belonged to the pitch that was read.
  static void set(Note& note, SpelledPitch pitch) {
    if (note.pitch == pitch) return;
    note.pitch = pitch;
    note.printed.fingers.clear();
    note.printed.string.reset();
    note.printed.open_string = note.printed.thumb = false;
  }

  /// The voice's sounding notes of the part, in order.
  std::vector<Note*> line_of(std::size_t part, int voice) {
    std::vector<Note*> line;
    for (Bar& bar : score_.parts[part].bars) {
      for (Note& note : bar.notes) {
        if (note.voice == voice && sounds_alone(note)) line.push_back(&note);
      }
    }
    return line;
  }

  std::vector<Note*> tied_with(Place place, Note& note) {
    std::vector<Note*> tied{&note};
    if (!note.tie_start && !note.tie_stop) return tied;
    std::vector<Note*> line = line_of(place.part, note.voice);
    std::erase_if(line, [&](const Note* other) { return other->pitch != note.pitch; });
    const auto here = std::find(line.begin(), line.end(), &note);
    for (auto on = here; (*on)->tie_start && std::next(on) != line.end(); ++on) {
      if (!(*std::next(on))->tie_stop) break;
      tied.push_back(*std::next(on));
    }
    for (auto back = here; (*back)->tie_stop && back != line.begin(); --back) {
      if (!(*std::prev(back))->tie_start) break;
      tied.push_back(*std::prev(back));
    }
    return tied;
  }

  // A neighbour that was tied to what goes away stands alone; a slur reaches from or to it.
  void let_go(Place place, Note& note) {
    std::vector<Note*> line = line_of(place.part, note.voice);
    const auto here = std::find(line.begin(), line.end(), &note);
    if (here == line.end()) return;
    Note* next = std::next(here) == line.end() ? nullptr : *std::next(here);
    Note* before = here == line.begin() ? nullptr : *std::prev(here);
    if (note.tie_start && next != nullptr) next->tie_stop = false;
    if (note.tie_stop && before != nullptr) before->tie_start = false;
    note.tie_start = note.tie_stop = false;
    for (const SlurEnd& end : note.slurs) {
      Note* to = end.starts ? next : before;
      if (to == nullptr) continue;
      const SlurEnd other{end.number, !end.starts};
      if (std::erase(to->slurs, other) == 0) to->slurs.push_back(end);
    }
    note.slurs.clear();
  }

  void silence(Place place, Note& note) {
    if (note.is_rest()) return;
    let_go(place, note);
    note.rest = RestKind::rest;
    note.articulations.clear();
    note.ornament = Ornament::none;
    note.printed = {};
    note.fermata = false;
  }

  void remove(Place place, const std::string& id) {
    Bar& bar = score_.parts[place.part].bars[place.bar];
    auto note = at(bar, id);
    if (note == bar.notes.end()) return;
    let_go(place, *note);
    const Note gone = *note;
    note = bar.notes.erase(note);
    const auto mate = std::find_if(bar.notes.begin(), bar.notes.end(), [&](const Note& other) {
      return !gone.grace && other.voice == gone.voice && other.onset == gone.onset &&
             (other.in_chord || gone.in_chord) && !other.grace;
    });
    if (mate == bar.notes.end()) {
      if (!gone.grace) shift(bar, gone.voice, gone.onset + gone.duration, -gone.duration);
    } else if (!gone.in_chord) {
      mate->in_chord = false;
    }
  }

  void settle(Place place) {
    auto& notes = score_.parts[place.part].bars[place.bar].notes;
    std::stable_sort(notes.begin(), notes.end(), [](const Note& a, const Note& b) {
      return std::pair(a.onset, a.voice) < std::pair(b.onset, b.voice);
    });
    set_length(place.bar);
  }

  // As it is read: all parts' bars last as long as the longest of them is filled.
  void set_length(std::size_t index) {
    Beats length;
    for (const Part& part : score_.parts) {
      for (const Note& note : part.bars[index].notes) {
        if (note.rest != RestKind::bar_rest) length = std::max(length, note.onset + note.duration);
      }
    }
    if (length == Beats(0)) return;
    for (Part& part : score_.parts) {
      part.bars[index].length = length;
      for (Note& note : part.bars[index].notes) {
        if (note.rest == RestKind::bar_rest) note.duration = length;
      }
    }
  }

  Score& score_;
  std::unordered_map<std::string, Place> places_;
};

}  // namespace

Score mended(Score score, const std::vector<Mend>& mends) {
  if (mends.empty()) return score;
  const std::vector<Warning> queried = check_notation(score);
  Mender mender(score);
  for (const Mend& mend : mends) mender.add_new(mend);
  for (const Mend& mend : mends) {
    if (!mend.removed) mender.change(mend);
  }
  for (const Mend& mend : mends) {
    if (mend.removed) mender.remove(mend.id);
  }
  std::erase_if(score.warnings, [&](const Warning& warning) {
    return std::find(queried.begin(), queried.end(), warning) != queried.end();
  });
  for (Warning& warning : check_notation(score)) score.warnings.push_back(std::move(warning));
  return score;
}

const Note* find_note(const Score& score, std::string_view id) {
  for (const Part& part : score.parts) {
    for (const Bar& bar : part.bars) {
      for (const Note& note : bar.notes) {
        if (note.id == id) return &note;
      }
    }
  }
  return nullptr;
}

}  // namespace endpin
