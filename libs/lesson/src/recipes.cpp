#include "endpin/lesson/recipes.h"

#include <algorithm>

namespace endpin {
namespace {

void unmark_hand(LineNote& t) {
  t.printed.fingers.clear();
  t.printed.string.reset();
  t.printed.open_string = false;
  t.printed.thumb = false;
}

bool divisible(Beats duration, Beats unit) {
  const Beats times = duration / unit;
  return times.denominator() == 1 && times.numerator() > 1;
}

LineNote part_of(const LineNote& whole, Beats duration) {
  LineNote part = whole;
  part.duration = duration;
  part.written.reset();
  part.tie_start = part.tie_stop = false;
  part.slur_start = part.slur_stop = false;
  part.printed.bow.reset();
  return part;
}

}  // namespace

Phrase subdivided(const Phrase& line, Beats unit) {
  Phrase result;
  for (const LineNote& t : line) {
    if (!t.pitch || t.in_tuplet() || !divisible(t.duration, unit)) {
      result.push_back(t);
      result.back().slur_start = result.back().slur_stop = false;
      continue;
    }
    const auto parts = (t.duration / unit).numerator();
    for (std::int64_t i = 0; i < parts; ++i) {
      result.push_back(part_of(t, unit));
      if (i > 0) unmark_hand(result.back());
    }
  }
  return result;
}

Phrase on_one_pitch(const Phrase& line, SpelledPitch pitch) {
  Phrase result = line;
  for (LineNote& t : result) {
    if (!t.pitch) continue;
    t.pitch = pitch;
    unmark_hand(t);
  }
  return result;
}

Phrase on_open_strings(const Phrase& line, const std::function<SpelledPitch(int)>& open_string) {
  Phrase result = line;
  int place = 0;
  for (LineNote& t : result) {
    if (!t.pitch) continue;
    t.pitch = open_string(place++);
    unmark_hand(t);
    t.tie_start = t.tie_stop = false;
  }
  return result;
}

std::vector<Phrase> growing(const Phrase& line, int most) {
  std::vector<Phrase> phrases;
  Phrase so_far;
  int notes = 0;
  for (std::size_t i = 0; i < line.size(); ++i) {
    so_far.push_back(line[i]);
    if (!line[i].pitch) continue;
    if (!line[i].tie_stop) ++notes;
    const bool held_on = i + 1 < line.size() && line[i + 1].tie_stop;
    if (held_on || notes < 2 || (line[i].in_tuplet() && i + 1 < line.size())) continue;
    Phrase phrase = so_far;
    phrase.back().slur_start = phrase.back().tie_start = false;
    phrases.push_back(std::move(phrase));
    if (notes >= most) break;
  }
  // A slur that has lost its end closes at the last note, or goes if it began there.
  for (Phrase& phrase : phrases) {
    bool open = false;
    for (const LineNote& t : phrase) open = t.slur_start || (open && !t.slur_stop);
    if (open) phrase.back().slur_stop = true;
  }
  return phrases;
}

Phrase without_slurs(const Phrase& line) {
  Phrase result = line;
  for (LineNote& t : result) t.slur_start = t.slur_stop = false;
  return result;
}

Phrase slurred_by_beat(const Phrase& line, Beats beat) {
  Phrase result = line;
  const auto beat_of_note = [&](Beats onset) {
    const Beats place = onset / beat;
    return place.numerator() / place.denominator();
  };
  const auto free = [](const LineNote& t) {
    return t.pitch && !t.slur_start && !t.slur_stop && !t.tie_start && !t.tie_stop;
  };
  Beats onset;
  for (std::size_t first = 0; first < result.size();) {
    std::size_t end = first;
    const auto here = beat_of_note(onset);
    while (end < result.size() && beat_of_note(onset) == here) onset += result[end++].duration;
    const auto from = result.begin() + static_cast<std::ptrdiff_t>(first);
    const auto to = result.begin() + static_cast<std::ptrdiff_t>(end);
    if (end - first >= 2 && std::all_of(from, to, free)) {
      from->slur_start = true;
      std::prev(to)->slur_stop = true;
    }
    first = end;
  }
  return result;
}

Phrase dotted(const Phrase& line, Beats value, Dotting dotting) {
  Phrase result = without_slurs(line);
  const auto even = [&](const LineNote& t) {
    return t.pitch && t.duration == value && !t.in_tuplet() && !t.tie_start && !t.tie_stop;
  };
  for (std::size_t i = 0; i + 1 < result.size(); ++i) {
    if (!even(result[i]) || !even(result[i + 1])) continue;
    const Beats first = value * (dotting == Dotting::long_short ? Beats(3, 2) : Beats(1, 2));
    result[i].duration = first;
    result[i + 1].duration = value * Beats(2) - first;
    result[i].written.reset();
    result[i + 1].written.reset();
    ++i;
  }
  return result;
}

Phrase shift_frame(const LineNote& before, const LineNote& after, Beats value) {
  const auto plain = [&](const LineNote& t) {
    LineNote result = part_of(t, value);
    result.tuplets.clear();
    return result;
  };
  return {plain(before), line_rest(value), plain(after), line_rest(value)};
}

SpelledPitch written_pitch(SpelledPitch wanted, const Transposition& t) {
  Transposition back;
  back.diatonic = -t.diatonic;
  back.chromatic = -t.chromatic;
  back.octave_change = -t.octave_change;
  return sounding(wanted, back);
}

}  // namespace endpin
