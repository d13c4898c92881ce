#include "sounding_pitches.h"

#include <algorithm>

#include "endpin/score/unfold.h"

namespace endpin {
namespace {

/// The notes written at one place in one voice.
struct Stack {
  std::vector<int> notes;  // ascending
  const Note* base = nullptr;
  const Note* touched = nullptr;
  const Note* sounding = nullptr;
};

bool is_harmonic(const Note& note) { return note.harmonic || note.artificial_harmonic; }

bool one_stem(const Note& a, const Note& b) { return a.onset == b.onset && a.voice == b.voice; }

/// Notes stand ascending by onset and voice, so that a stack's are neighbours.
Stack stack_of(const Bar& bar, int index) {
  constexpr int most = 8;  // noteheads: two for each of four strings
  const auto& notes = bar.notes;
  const Note& note = notes[static_cast<std::size_t>(index)];
  const auto at = [&](int i) -> const Note& { return notes[static_cast<std::size_t>(i)]; };
  int first = index;
  int end = index + 1;
  while (first > 0 && index - first < most && one_stem(at(first - 1), note)) --first;
  while (end < static_cast<int>(notes.size()) && end - index < most && one_stem(at(end), note)) {
    ++end;
  }
  Stack stack;
  for (int i = first; i < end; ++i) {
    const Note& other = at(i);
    if (other.grace || other.cue || other.is_rest()) continue;
    stack.notes.push_back(i);
    if (!is_harmonic(other)) continue;
    if (other.harmonic_place == HarmonicPlace::base) stack.base = &other;
    if (other.harmonic_place == HarmonicPlace::touching) stack.touched = &other;
    if (other.harmonic_place == HarmonicPlace::sounding) stack.sounding = &other;
  }
  return stack;
}

/// Two noteheads of a stopped harmonic whose places the file does not say: the lower one is
/// stopped.
void tell_apart(const Bar& bar, Stack& stack) {
  if (stack.notes.size() != 2 || (stack.base != nullptr && stack.touched != nullptr)) return;
  const Note* low = &bar.notes[static_cast<std::size_t>(stack.notes[0])];
  const Note* high = &bar.notes[static_cast<std::size_t>(stack.notes[1])];
  if (low->pitch.midi() > high->pitch.midi()) std::swap(low, high);
  const bool stopped = low->artificial_harmonic || high->artificial_harmonic;
  if (!stopped || stack.sounding != nullptr || high == stack.base || low == stack.touched) return;
  stack.base = low;
  stack.touched = high;
}

}  // namespace

std::optional<SpelledPitch> touched_harmonic(SpelledPitch base, SpelledPitch touched) {
  switch (touched.midi() - base.midi()) {
    case 12:
      return sounding(base, {7, 12, 0});
    case 7:
      return sounding(base, {11, 19, 0});
    case 5:
      return sounding(base, {14, 24, 0});
    case 4:
    case 9:
      return sounding(base, {16, 28, 0});
    case 3:
      return sounding(base, {18, 31, 0});
    default:
      return std::nullopt;
  }
}

SoundingPitches::SoundingPitches(const Part& part, std::string_view instrument)
    : part_(part), contexts_(contexts(part)), first_(sounding_transposition(part, instrument)) {}

const Transposition& SoundingPitches::transposition(int bar, Beats onset) const {
  const auto index = static_cast<std::size_t>(bar);
  const Transposition* here = &contexts_[index].transpose;
  for (const Change& change : part_.bars[index].changes) {
    if (change.kind == ChangeKind::transposition && change.at <= onset) here = &change.transpose;
  }
  return *here == part_.transpose ? first_ : *here;
}

std::optional<SpelledPitch> SoundingPitches::of(int bar, int index) const {
  const Bar& written = part_.bars[static_cast<std::size_t>(bar)];
  const Note& note = written.notes[static_cast<std::size_t>(index)];
  const Transposition& moves = transposition(bar, note.onset);
  if (!is_harmonic(note) && !note.in_chord) {
    const std::size_t next = static_cast<std::size_t>(index) + 1;
    if (next >= written.notes.size() || !written.notes[next].in_chord) {
      return sounding(note.pitch, moves);
    }
  }
  Stack stack = stack_of(written, index);
  tell_apart(written, stack);
  if (stack.sounding != nullptr) {
    if (&note == stack.base || &note == stack.touched) return std::nullopt;
    return sounding(note.pitch, moves);
  }
  if (stack.base == nullptr || stack.touched == nullptr) return sounding(note.pitch, moves);
  const auto partial = touched_harmonic(stack.base->pitch, stack.touched->pitch);
  if (!partial || (&note != stack.base && &note != stack.touched)) {
    return sounding(note.pitch, moves);
  }
  if (&note == stack.touched) return std::nullopt;
  return sounding(*partial, moves);
}

}  // namespace endpin
