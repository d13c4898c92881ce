#include "beams.h"

#include <algorithm>
#include <map>

namespace endpin::notation {
namespace {

int beam_count(const Note& note) {
  if (note.is_rest() || note.grace || note.in_chord || !note.written) return 0;
  return std::max(0, static_cast<int>(note.written->value) - static_cast<int>(NoteValue::quarter));
}

/// The beam at `level` of note `i` in a run of notes with `counts` beams.
std::string_view beam_at(const std::vector<int>& counts, std::size_t i, int level) {
  const bool before = i > 0 && counts[i - 1] > level;
  const bool after = i + 1 < counts.size() && counts[i + 1] > level;
  if (before && after) return "continue";
  if (after) return "begin";
  if (before) return "end";
  return i > 0 ? "backward hook" : "forward hook";
}

using Beams = std::vector<std::vector<std::string_view>>;

void join_run(const std::vector<std::size_t>& run, const Bar& bar, Beams& beams) {
  if (run.size() < 2) return;
  std::vector<int> counts;
  for (const std::size_t note : run) counts.push_back(beam_count(bar.notes[note]));
  for (std::size_t i = 0; i < run.size(); ++i) {
    for (int level = 0; level < counts[i]; ++level) {
      beams[run[i]].push_back(beam_at(counts, i, level));
    }
  }
}

/// Which group of the metre holds `onset`, counted from the bar's beginning.
std::int64_t group_of(Beats onset, const TimeSignature& time) {
  if (time.groups.empty()) {
    const Beats place = onset / beam_group(time);
    return place.numerator() / place.denominator();
  }
  std::int64_t group = 0;
  Beats end;
  for (const int beats : time.groups) {
    end += Beats(4 * beats, time.beat_type);
    if (onset < end) break;
    ++group;
  }
  return group;
}

bool same_tuplet(const Note& a, const Note& b) {
  return a.written->actual_notes == b.written->actual_notes &&
         a.written->normal_notes == b.written->normal_notes;
}

void beam_voice(const std::vector<std::size_t>& voice, const Bar& bar, const TimeSignature& time,
                Beams& beams) {
  std::vector<std::size_t> run;
  Beats expected;
  for (const std::size_t i : voice) {
    const Note& note = bar.notes[i];
    const Note* last = run.empty() ? nullptr : &bar.notes[run.back()];
    const bool joins = last != nullptr && note.onset == expected && note.written &&
                       same_tuplet(*last, note) &&
                       group_of(note.onset, time) == group_of(last->onset, time);
    if (!joins || beam_count(note) == 0) {
      join_run(run, bar, beams);
      run.clear();
    }
    if (beam_count(note) > 0) run.push_back(i);
    expected = note.onset + note.duration;
  }
  join_run(run, bar, beams);
}

}  // namespace

Beats beam_group(const TimeSignature& time) {
  const Beats unit(4, time.beat_type);
  if (time.beat_type >= 8 && time.beats % 3 == 0) return unit * 3;
  return std::max(unit, Beats(1));
}

Beams beams(const Bar& bar, const TimeSignature& time) {
  Beams all(bar.notes.size());
  std::map<std::pair<int, int>, std::vector<std::size_t>> voices;
  for (std::size_t i = 0; i < bar.notes.size(); ++i) {
    const Note& note = bar.notes[i];
    if (!note.grace && !note.in_chord) voices[{note.voice, note.staff}].push_back(i);
  }
  for (const auto& [key, voice] : voices) beam_voice(voice, bar, time, all);
  return all;
}

}  // namespace endpin::notation
