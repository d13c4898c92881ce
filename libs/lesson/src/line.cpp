#include "endpin/lesson/line.h"

#include <algorithm>
#include <cassert>

namespace endpin {
namespace {

LineNote note_of(const Note& note) {
  LineNote result;
  if (!note.is_rest() && !note.unpitched) result.pitch = note.pitch;
  result.duration = note.duration;
  result.written = note.written;
  result.tuplets = note.tuplets;
  result.tie_start = note.tie_start;
  result.tie_stop = note.tie_stop;
  for (const SlurEnd& slur : note.slurs) {
    (slur.starts ? result.slur_start : result.slur_stop) = true;
  }
  result.plucked = note.plucked;
  result.articulations = note.articulations;
  result.printed = note.printed;
  return result;
}

int first_voice(const Bar& bar) {
  int voice = 0;
  for (const Note& note : bar.notes) {
    if (!note.is_rest() && (voice == 0 || note.voice < voice)) voice = note.voice;
  }
  return voice == 0 ? 1 : voice;
}

// Slurs and ties whose other end lies outside are taken away.
void close_edges(Phrase& phrase) {
  bool open = false;
  for (LineNote& t : phrase) {
    if (t.slur_stop && !open) t.slur_stop = false;
    if (t.slur_stop) open = false;
    if (t.slur_start) open = true;
  }
  for (auto t = phrase.rbegin(); open && t != phrase.rend(); ++t) {
    if (t->slur_start) {
      t->slur_start = false;
      break;
    }
  }
  if (!phrase.empty()) {
    phrase.front().tie_stop = false;
    phrase.back().tie_start = false;
  }
}

}  // namespace

LineNote line_note(SpelledPitch pitch, Beats duration) {
  LineNote result;
  result.pitch = pitch;
  result.duration = duration;
  return result;
}

LineNote line_rest(Beats duration) {
  LineNote result;
  result.duration = duration;
  return result;
}

Beats length(const Phrase& phrase) {
  Beats sum;
  for (const LineNote& t : phrase) sum += t.duration;
  return sum;
}

Phrase line_of(const Bar& bar) {
  const int voice = first_voice(bar);
  Phrase phrase;
  Beats at;
  for (const Note& note : bar.notes) {
    if (note.voice != voice || note.grace || note.cue || note.duration <= Beats(0)) continue;
    if (note.in_chord) {
      if (!phrase.empty() && phrase.back().pitch &&
          note.pitch.midi() > phrase.back().pitch->midi()) {
        phrase.back().pitch = note.pitch;
      }
      continue;
    }
    if (note.onset > at) phrase.push_back(line_rest(note.onset - at));
    phrase.push_back(note_of(note));
    at = note.onset + note.duration;
  }
  if (at < bar.length) phrase.push_back(line_rest(bar.length - at));
  close_edges(phrase);
  return phrase;
}

std::vector<WrittenDuration> written_values(Beats duration) {
  std::vector<WrittenDuration> values;
  while (duration > Beats(0)) {
    std::optional<WrittenDuration> longest;
    for (int v = static_cast<int>(NoteValue::breve);
         !longest && v <= static_cast<int>(NoteValue::sixty_fourth); ++v) {
      for (const int dots : {1, 0}) {
        const WrittenDuration candidate{static_cast<NoteValue>(v), dots, 1, 1};
        if (candidate.beats() <= duration) {
          longest = candidate;
          break;
        }
      }
    }
    if (!longest) return {};
    values.push_back(*longest);
    duration -= longest->beats();
  }
  return values;
}

Ground ground_at(const Part& part, int bar) {
  const Context context = contexts(part).at(static_cast<std::size_t>(bar));
  Ground ground;
  ground.part = part;
  ground.part.bars.clear();
  ground.key = context.key;
  ground.time = context.time;
  ground.clef = context.clef;
  return ground;
}

}  // namespace endpin
