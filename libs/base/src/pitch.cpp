#include "endpin/base/pitch.h"

#include <array>
#include <charconv>
#include <cmath>

namespace endpin {
namespace {

constexpr std::array<int, 7> semitones_above_c{0, 2, 4, 5, 7, 9, 11};
// Line of fifths from F: F C G D A E B.
constexpr std::array<Step, 7> fifths_order{Step::f, Step::c, Step::g, Step::d,
                                           Step::a, Step::e, Step::b};

int index_of(Step step) { return static_cast<int>(step); }

int floor_div(int a, int b) { return (a >= 0 ? a : a - b + 1) / b; }

std::string name(SpelledPitch p, const char* sharp, const char* flat) {
  std::string text(1, "CDEFGAB"[index_of(p.step)]);
  for (int i = 0; i < std::abs(p.alter); ++i) text += p.alter > 0 ? sharp : flat;
  return text + std::to_string(p.octave);
}

}  // namespace

int SpelledPitch::midi() const {
  return 12 * (octave + 1) + semitones_above_c[static_cast<std::size_t>(index_of(step))] + alter;
}

int SpelledPitch::staff_step() const { return 7 * octave + index_of(step); }

std::string SpelledPitch::text() const { return name(*this, "#", "b"); }

std::string SpelledPitch::pretty() const { return name(*this, "♯", "♭"); }

std::optional<SpelledPitch> SpelledPitch::parse(std::string_view text) {
  constexpr std::string_view names = "CDEFGAB";
  if (text.empty()) return std::nullopt;
  const std::size_t step = names.find(text[0]);
  if (step == std::string_view::npos) return std::nullopt;
  SpelledPitch pitch{static_cast<Step>(step), 0, 0};
  std::size_t at = 1;
  for (; at < text.size() && (text[at] == '#' || text[at] == 'b'); ++at) {
    pitch.alter += text[at] == '#' ? 1 : -1;
  }
  const char* end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data() + at, end, pitch.octave);
  if (error != std::errc{} || stop != end) return std::nullopt;
  return pitch;
}

int line_of_fifths(SpelledPitch pitch) {
  constexpr std::array<int, 7> place{0, 2, 4, -1, 1, 3, 5};  // C D E F G A B
  return place[static_cast<std::size_t>(index_of(pitch.step))] + 7 * pitch.alter;
}

SpelledPitch from_line_of_fifths(int place, int octave) {
  const int alter = floor_div(place + 1, 7);
  const int letter = place + 1 - 7 * alter;
  return {fifths_order[static_cast<std::size_t>(letter)], alter, octave};
}

SpelledPitch spell(int midi, int fifths) {
  const int pitch_class = ((midi % 12) + 12) % 12;
  // Twelve places around the key: a flat second below the tonic's side to a sharp fourth above,
  // which holds the key's seven notes and the usual chromatic ones of major and minor.
  for (int place = fifths - 3; place <= fifths + 8; ++place) {
    SpelledPitch p = from_line_of_fifths(place, 0);
    if (((p.midi() % 12) + 12) % 12 != pitch_class) continue;
    p.octave = (midi - p.midi()) / 12;
    return p;
  }
  return {};  // unreachable: twelve neighbours on the line of fifths are all pitch classes
}

Hertz frequency(int midi, Hertz a4) { return a4 * std::exp2((midi - 69) / 12.0); }

Cents deviation(Hertz f, int midi, Hertz a4) { return interval(frequency(midi, a4), f); }

}  // namespace endpin
