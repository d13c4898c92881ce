#include "fmt/format.h"
#include "musicxml_names.h"
#include "navigation_words.h"
#include "note_writer.h"
#include "part_writer.h"

namespace endpin::notation {
namespace {

void write_metronome(XmlText& xml, const Metronome& mark) {
  const auto unit = plain_value(mark.unit);
  if (!unit) return;
  xml.open("metronome");
  xml.leaf("beat-unit", name_of(note_type_names, unit->value));
  for (int i = 0; i < unit->dots; ++i) xml.empty("beat-unit-dot");
  xml.leaf("per-minute", fmt::format("{}", mark.per_minute));
  xml.close();
}

bool is_dynamic_name(std::string_view text) {
  constexpr std::string_view names =
      " p pp ppp pppp ppppp pppppp f ff fff ffff fffff ffffff mp mf sf sfp sfpp fp rf rfz sfz sffz "
      "fz n pf sfzp ";
  return !text.empty() && names.find(fmt::format(" {} ", text)) != std::string_view::npos;
}

void write_dynamics(XmlText& xml, const std::string& text) {
  xml.open("dynamics");
  if (is_dynamic_name(text)) {
    xml.empty(text);
  } else {
    xml.leaf("other-dynamics", text);
  }
  xml.close();
}

void write_octave_shift(XmlText& xml, const Direction& direction) {
  const int octaves = direction.octave_shift;
  const bool starts = direction.kind == DirectionKind::octave_shift_start;
  xml.empty("octave-shift", {{"type", !starts       ? "stop"
                                      : octaves > 0 ? "down"
                                                    : "up"},
                             {"size", octaves == 2 || octaves == -2 ? "15" : "8"}});
}

void write_type(XmlText& xml, const Direction& d) {
  switch (d.kind) {
    case DirectionKind::words:
    case DirectionKind::pizzicato:
    case DirectionKind::arco:
      xml.leaf("words", d.text);
      break;
    case DirectionKind::rehearsal:
      xml.leaf("rehearsal", d.text);
      break;
    case DirectionKind::dynamics:
      write_dynamics(xml, d.text);
      break;
    case DirectionKind::wedge_start_up:
      xml.empty("wedge", {{"type", "crescendo"}});
      break;
    case DirectionKind::wedge_start_down:
      xml.empty("wedge", {{"type", "diminuendo"}});
      break;
    case DirectionKind::wedge_stop:
      xml.empty("wedge", {{"type", "stop"}});
      break;
    case DirectionKind::octave_shift_start:
    case DirectionKind::octave_shift_stop:
      write_octave_shift(xml, d);
      break;
    case DirectionKind::tempo:
      break;
  }
}

void write_tempo_types(XmlText& xml, const Direction& d) {
  if (!d.text.empty()) {
    xml.open("direction-type");
    xml.leaf("words", d.text);
    xml.close();
  }
  if (d.metronome) {
    xml.open("direction-type");
    write_metronome(xml, *d.metronome);
    xml.close();
  }
}

void write_sign(XmlText& xml, std::string_view sign, std::string_view sound,
                std::string_view value) {
  xml.open("direction");
  xml.open("direction-type");
  xml.empty(sign);
  xml.close();
  xml.empty("sound", {{sound, std::string(value)}});
  xml.close();
}

/// What the bar's own printed words say already.
Navigation said_in_words(const Bar& bar) {
  Navigation said;
  for (const Direction& direction : bar.directions) apply_navigation_words(direction.text, said);
  return said;
}

}  // namespace

void PartWriter::write_direction(const Direction& d) {
  const bool bare_tempo = d.kind == DirectionKind::tempo && d.text.empty() && !d.metronome;
  const std::string tempo = d.sound_tempo ? fmt::format("{}", d.sound_tempo->value()) : "";
  if (bare_tempo) {
    if (d.sound_tempo) xml_.empty("sound", {{"tempo", tempo}});
    return;
  }
  xml_.open("direction");
  if (d.kind == DirectionKind::tempo) {
    write_tempo_types(xml_, d);
  } else {
    xml_.open("direction-type");
    write_type(xml_, d);
    xml_.close();
  }
  if (part_.staves > 1 || d.staff > 1) xml_.leaf("staff", d.staff);
  if (!tempo.empty()) xml_.empty("sound", {{"tempo", tempo}});
  xml_.close();
}

void PartWriter::write_signs_at_start(const Navigation& navigation) {
  if (navigation.segno) write_sign(xml_, "segno", "segno", "1");
  if (navigation.coda) write_sign(xml_, "coda", "coda", "1");
}

void PartWriter::write_jumps_at_end(const Bar& bar) {
  const Navigation said = said_in_words(bar);
  const Navigation& wanted = bar.navigation;
  if (wanted.to_coda && !said.to_coda) write_sign(xml_, "coda", "tocoda", "1");
  if (wanted.fine && !said.fine) xml_.empty("sound", {{"fine", "yes"}});
  if (wanted.da_capo && !said.da_capo) xml_.empty("sound", {{"dacapo", "yes"}});
  if (wanted.dal_segno && !said.dal_segno) xml_.empty("sound", {{"dalsegno", "1"}});
}

}  // namespace endpin::notation
