#include "endpin/instrument/instrument.h"

#include <cmath>
#include <utility>

#include "endpin/words/note_names.h"

#include "instrument_tables.h"

namespace endpin {
namespace {

constexpr std::pair<std::string_view, InstrumentKind> names[] = {
    {"violin", InstrumentKind::violin},    {"viola", InstrumentKind::viola},
    {"cello", InstrumentKind::cello},      {"violoncello", InstrumentKind::cello},
    {"bass", InstrumentKind::bass},        {"double bass", InstrumentKind::bass},
    {"double-bass", InstrumentKind::bass}, {"contrabass", InstrumentKind::bass},
};

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return result;
}

}  // namespace

const Instrument& instrument(InstrumentKind kind) {
  switch (kind) {
    case InstrumentKind::violin:
      return violin_data;
    case InstrumentKind::viola:
      return viola_data;
    case InstrumentKind::bass:
      return bass_data;
    case InstrumentKind::cello:
      break;
  }
  return cello_data;
}

const Instrument* find_instrument(std::string_view wanted) {
  const std::string text = lower(wanted);
  for (const auto& [name, kind] : names) {
    if (text == name) return &instrument(kind);
  }
  return nullptr;
}

const Reach& reach(const Instrument& instrument, std::string_view step) {
  for (const Reach& candidate : instrument.reaches) {
    if (candidate.step == step) return candidate;
  }
  return instrument.reaches.back();
}

const Position& position_at(const Instrument& instrument, int first_finger) {
  const Position* below = &instrument.positions.front();
  for (const Position& position : instrument.positions) {
    if (position.lowest_first <= first_finger) below = &position;
    // Half and first position of the violin share the low first finger; the first has the name.
  }
  return *below;
}

std::string string_letter(const Instrument& instrument, int string) {
  SpelledPitch pitch = instrument.open(string);
  return note_name(pitch, Language::en_us);
}

double nut_to_finger_mm(double length_mm, int semitones) {
  return length_mm * (1 - std::exp2(-semitones / 12.0));
}

}  // namespace endpin
