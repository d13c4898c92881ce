#include "endpin/score/transpose.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <string>

#include <fmt/core.h>

namespace endpin {
namespace {

constexpr int most_signs = 7;
constexpr int most_semitones = 24;

// What an interval's number is in fifths and semitones, as a perfect or major one.
struct Size {
  int fifths, semitones;
  bool perfect;
};
constexpr std::array<Size, 8> sizes{{{0, 0, true},
                                     {2, 2, false},
                                     {4, 4, false},
                                     {-1, 5, true},
                                     {1, 7, true},
                                     {3, 9, false},
                                     {5, 11, false},
                                     {0, 12, true}}};

Unexpected no_interval(std::string_view text) {
  return Unexpected(Error{ErrorKind::input, "", "",
                          fmt::format("\"{}\" is no interval that can be transposed by", text),
                          "Give one such as M2, -m3, P5 or a number of semitones up to 24."});
}

// How many semitones the quality adds to a major or perfect interval.
std::optional<int> quality(char letter, bool perfect) {
  switch (letter) {
    case 'P':
      return perfect ? std::optional(0) : std::nullopt;
    case 'M':
      return perfect ? std::nullopt : std::optional(0);
    case 'm':
      return perfect ? std::nullopt : std::optional(-1);
    case 'A':
      return 1;
    case 'd':
      return perfect ? -1 : -2;
    default:
      return std::nullopt;
  }
}

// Of all spellings of so many semitones, the one with the fewest signs after it; flats of two.
Interval spelled(int semitones, int fifths) {
  const int plain = ((7 * semitones) % 12 + 12) % 12;
  Interval best{plain, semitones};
  for (const int candidate : {plain - 24, plain - 12, plain}) {
    if (std::abs(fifths + candidate) < std::abs(fifths + best.fifths)) best.fifths = candidate;
  }
  return best;
}

// What a key of `fifths` moves by so that it still can be written.
int writable_shift(int fifths, int shift) {
  while (fifths + shift > most_signs) shift -= 12;
  while (fifths + shift < -most_signs) shift += 12;
  return shift;
}

/// Walks through one part; the shift changes with the key.
class Mover {
 public:
  explicit Mover(const Interval& interval) : interval_(interval) { enter(0); }

  void move(Part& part) {
    if (!part.bars.empty()) write_key(part.bars.front());
    for (Bar& bar : part.bars) {
      auto change = bar.changes.begin();
      for (Note& note : bar.notes) {
        for (; change != bar.changes.end() && change->at <= note.onset; ++change) take(*change);
        move(note);
      }
      for (; change != bar.changes.end(); ++change) take(*change);
    }
  }

 private:
  void enter(int fifths) { shift_ = writable_shift(fifths, interval_.fifths); }

  void take(Change& change) {
    if (change.kind != ChangeKind::key) return;
    enter(change.key.fifths);
    change.key.fifths += shift_;
  }

  // A part without a signature stands in one of no signs, which moves like any other.
  static void write_key(Bar& first) {
    const bool there = std::any_of(first.changes.begin(), first.changes.end(), [](const Change& c) {
      return c.kind == ChangeKind::key && c.at == Beats(0);
    });
    if (there) return;
    Change key;
    key.kind = ChangeKind::key;
    first.changes.insert(first.changes.begin(), key);
  }

  void move(Note& note) const {
    if (note.is_rest() || note.unpitched) return;
    note.pitch = transposed(note.pitch, shift_, interval_.semitones);
    note.printed.fingers.clear();
    note.printed.string.reset();
    note.printed.open_string = note.printed.thumb = false;
  }

  Interval interval_;
  int shift_ = 0;
};

}  // namespace

Result<Interval> parse_interval(std::string_view text, int fifths) {
  std::string_view rest = text;
  const bool down = rest.starts_with('-');
  if (down || rest.starts_with('+')) rest.remove_prefix(1);
  int number = 0;
  const bool named = !rest.empty() && (rest[0] < '0' || rest[0] > '9');
  const char* from = rest.data() + (named ? 1 : 0);
  const auto [end, error] = std::from_chars(from, rest.data() + rest.size(), number);
  if (error != std::errc() || end != rest.data() + rest.size()) return no_interval(text);
  if (!named) {
    if (number > most_semitones) return no_interval(text);
    return spelled(down ? -number : number, fifths);
  }
  if (number < 1 || number > 15) return no_interval(text);
  const int octaves = number > 8 ? 1 : 0;
  const Size size = sizes[static_cast<std::size_t>(number - 7 * octaves - 1)];
  const auto added = quality(rest[0], size.perfect);
  if (!added) return no_interval(text);
  const Interval up{size.fifths + 7 * *added, size.semitones + *added + 12 * octaves};
  return down ? Interval{-up.fifths, -up.semitones} : up;
}

Result<Interval> interval_to_key(std::string_view tonic, int fifths, bool minor) {
  std::string name(tonic);
  if (!name.empty()) name[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(name[0])));
  const bool letters = name.find_first_of("0123456789-") == std::string::npos;
  const auto pitch = letters ? SpelledPitch::parse(name + "4") : std::nullopt;
  const int wanted = pitch ? line_of_fifths(*pitch) - (minor ? 3 : 0) : most_signs + 1;
  if (std::abs(wanted) > most_signs) {
    return Unexpected(
        Error{ErrorKind::input, "", "",
              fmt::format("there is no key signature for {} {}", tonic, minor ? "minor" : "major"),
              "Give a tonic such as G, Bb or F#, of at most seven sharps or flats."});
  }
  const int move = wanted - fifths;
  const int up = ((7 * move) % 12 + 12) % 12;
  return Interval{move, up > 6 ? up - 12 : up};
}

SpelledPitch transposed(SpelledPitch pitch, int fifths, int semitones) {
  int place = line_of_fifths(pitch) + fifths;
  // F double flat to B double sharp: -15 … 19.
  while (place > 19) place -= 12;
  while (place < -15) place += 12;
  SpelledPitch moved = from_line_of_fifths(place, pitch.octave);
  const int wanted = pitch.midi() + semitones;
  moved.octave += static_cast<int>(std::lround((wanted - moved.midi()) / 12.0));
  return moved;
}

Score transposed(const Score& score, const Interval& interval) {
  Score moved = score;
  for (Part& part : moved.parts) Mover(interval).move(part);
  return moved;
}

}  // namespace endpin
