#include "midi_notation.h"

#include <algorithm>
#include <array>

#include "note_writer.h"

namespace endpin::notation {
namespace {

constexpr std::size_t most_voices = 4;

std::int64_t whole_quarters(Beats b) { return b.numerator() / b.denominator(); }

/// A written value for a length, plain or in a tuplet of 3, 5 or 7.
std::optional<WrittenDuration> value_of(Beats length) {
  if (const auto plain = plain_value(length)) return plain;
  constexpr std::array<std::pair<int, int>, 3> tuplets{{{3, 2}, {5, 4}, {7, 4}}};
  for (const auto& [actual, normal] : tuplets) {
    auto written = plain_value(length * Beats(actual, normal));
    if (!written || written->dots > 1) continue;
    written->actual_notes = actual;
    written->normal_notes = normal;
    return written;
  }
  return std::nullopt;
}

/// How much of [from, to) one written note may take: all of it if it is a value that reads well
/// there, else up to the next beat.
Beats next_piece(Beats from, Beats to, Beats bar_start) {
  const Beats length = to - from;
  const Beats place = from - bar_start;
  const bool on_beat = place.denominator() == 1;
  const Beats beat_end = bar_start + Beats(whole_quarters(place) + 1);
  const auto written = value_of(length);
  const bool inside_beat = to <= beat_end;
  const bool plain = written && written->actual_notes == 1 && written->dots <= 1;
  if (written && (inside_beat || (plain && (on_beat || length <= Beats(2))))) return length;
  if (!inside_beat && on_beat) {  // whole quarters that one value writes
    Beats piece(4);
    while (piece > length) piece = piece / 2;
    return piece;
  }
  if (!inside_beat) return beat_end - from;
  Beats piece(1, 1);  // inside a beat: the longest value that fits
  while (piece > length) piece = piece / 2;
  return value_of(length) ? length : piece;
}

struct Chord {
  Beats onset;
  Beats end;
  std::vector<int> pitches;
};

using Voice = std::vector<Chord>;

/// Notes that begin and end together are a chord; each chord goes to the first voice that is free.
std::vector<Voice> voices_of(const std::vector<QuantisedNote>& notes) {
  std::vector<Voice> voices;
  for (const QuantisedNote& note : notes) {
    const auto same = std::find_if(voices.begin(), voices.end(), [&](const Voice& v) {
      return v.back().onset == note.onset && v.back().end == note.end;
    });
    if (same != voices.end()) {
      std::vector<int>& pitches = same->back().pitches;
      if (std::find(pitches.begin(), pitches.end(), note.pitch) == pitches.end()) {
        pitches.push_back(note.pitch);
      }
      continue;
    }
    const auto free = std::find_if(voices.begin(), voices.end(),
                                   [&](const Voice& v) { return v.back().end <= note.onset; });
    if (free != voices.end()) {
      free->push_back({note.onset, note.end, {note.pitch}});
    } else if (voices.size() < most_voices) {
      voices.push_back({{note.onset, note.end, {note.pitch}}});
    } else if (voices.front().back().onset < note.onset) {
      voices.front().back().end = note.onset;  // no voice is free: the first gives way
      voices.front().push_back({note.onset, note.end, {note.pitch}});
    }
  }
  return voices;
}

/// Writes one voice, bar by bar.
class VoiceWriter {
 public:
  VoiceWriter(const std::vector<BarFrame>& frames, std::vector<Bar>& bars, int voice, int fifths)
      : frames_(frames), bars_(bars), voice_(voice), fifths_(fifths) {}

  void write(const Voice& voice) {
    for (const Chord& chord : voice) {
      if (voice_ == 1) fill_with_rests(chord.onset);
      span(chord.onset, chord.end, &chord);
      done_ = std::max(done_, chord.end);
    }
    if (voice_ == 1) fill_with_rests(frames_.back().start + frames_.back().length);
  }

 private:
  void fill_with_rests(Beats until) {
    if (done_ < until) span(done_, until, nullptr);
    done_ = std::max(done_, until);
  }

  void span(Beats from, Beats to, const Chord* chord) {
    while (from < to) {
      while (frame_ + 1 < frames_.size() && from >= frames_[frame_ + 1].start) ++frame_;
      const BarFrame& frame = frames_[frame_];
      const Beats bar_end = frame.start + frame.length;
      if (from >= bar_end) return;
      const Beats stop = std::min(to, bar_end);
      const bool whole_bar = chord == nullptr && from == frame.start && stop == bar_end;
      const Beats piece = whole_bar ? stop - from : next_piece(from, stop, frame.start);
      put(from - frame.start, piece, chord, chord != nullptr && from > chord->onset,
          from + piece < to, whole_bar);
      from += piece;
    }
  }

  void put(Beats onset, Beats length, const Chord* chord, bool tied_in, bool tied_on, bool whole) {
    Note note;
    note.voice = voice_;
    note.onset = onset;
    note.duration = length;
    if (!whole) note.written = value_of(length);
    if (chord == nullptr) {
      note.rest = whole ? RestKind::bar_rest : RestKind::rest;
      bars_[frame_].notes.push_back(note);
      return;
    }
    note.tie_stop = tied_in;
    note.tie_start = tied_on;
    for (const int pitch : chord->pitches) {
      note.pitch = spell(pitch, fifths_);
      bars_[frame_].notes.push_back(note);
      note.in_chord = true;
    }
  }

  const std::vector<BarFrame>& frames_;
  std::vector<Bar>& bars_;
  int voice_;
  int fifths_;
  std::size_t frame_ = 0;
  Beats done_;
};

/// Brackets round the neighbours of one voice that stand in the same tuplet in the same beat.
void bracket_tuplets(Bar& bar) {
  std::array<Note*, most_voices + 1> open{};
  const auto in_tuplet = [](const Note& n) { return n.written && n.written->actual_notes > 1; };
  const auto end = [](Note* note) {
    if (note != nullptr) {
      note->tuplets.push_back(
          {note->written->actual_notes, note->written->normal_notes, 1, false, true});
    }
  };
  for (Note& note : bar.notes) {
    if (note.in_chord) continue;
    Note*& last = open[static_cast<std::size_t>(note.voice)];
    const bool goes_on = last != nullptr && in_tuplet(note) &&
                         last->written->actual_notes == note.written->actual_notes &&
                         whole_quarters(last->onset) == whole_quarters(note.onset) &&
                         last->onset + last->duration == note.onset;
    if (!goes_on) {
      end(last);
      last = nullptr;
      if (in_tuplet(note)) {
        note.tuplets.push_back(
            {note.written->actual_notes, note.written->normal_notes, 1, true, false});
      }
    }
    if (in_tuplet(note)) last = &note;
  }
  for (Note* last : open) end(last);
}

}  // namespace

std::vector<BarFrame> bar_frames(const std::vector<MetreAt>& metres, Beats end) {
  std::vector<BarFrame> frames;
  Beats at;
  std::size_t next = 0;
  TimeSignature time;
  while (at < end || frames.empty()) {
    BarFrame frame{at, Beats(0), time, frames.empty()};
    for (; next < metres.size() && metres[next].at <= at; ++next) {
      frame.new_metre = frame.new_metre || !(metres[next].time == frame.time);
      frame.time = metres[next].time;
    }
    time = frame.time;
    frame.length = time.bar_length();
    // A metre that changes inside a bar cuts it short.
    if (next < metres.size() && metres[next].at < at + frame.length) {
      frame.length = metres[next].at - at;
    }
    frames.push_back(frame);
    at += frame.length;
  }
  return frames;
}

void notate(const std::vector<QuantisedNote>& notes, const std::vector<BarFrame>& frames,
            int fifths, std::vector<Bar>& bars) {
  const std::vector<Voice> voices = voices_of(notes);
  for (std::size_t v = 0; v < voices.size(); ++v) {
    VoiceWriter(frames, bars, static_cast<int>(v) + 1, fifths).write(voices[v]);
  }
  for (Bar& bar : bars) {
    std::stable_sort(bar.notes.begin(), bar.notes.end(), [](const Note& a, const Note& b) {
      return a.onset != b.onset ? a.onset < b.onset : a.voice < b.voice;
    });
    bracket_tuplets(bar);
  }
}

}  // namespace endpin::notation
