#include <algorithm>
#include <cmath>

#include "musicxml_names.h"
#include "navigation_words.h"
#include "part_reader.h"

namespace endpin::notation {
namespace {

std::optional<double> positive(std::string_view text) {
  const auto number = decimal_number(text);
  if (!number || number->numerator <= 0) return std::nullopt;
  return number->to_double();
}

/// "ca. 120" as 120.
std::optional<double> first_number_in(std::string_view text) {
  const std::size_t digit = text.find_first_of("0123456789");
  if (digit == std::string_view::npos) return std::nullopt;
  const std::size_t end = text.find_first_not_of("0123456789.", digit);
  return positive(text.substr(digit, end == std::string_view::npos ? end : end - digit));
}

/// A <sound> that stands in the measure, not in a direction.
bool node_is_bare(pugi::xml_node sound) {
  return std::string_view(sound.parent().name()) != "direction";
}

}  // namespace

void PartReader::read_direction(pugi::xml_node node) {
  Direction base;
  base.at = cursor_;
  const auto staff = whole_number(text_of(node, "staff"));
  base.staff = staff ? static_cast<int>(std::clamp<std::int64_t>(*staff, 1, 32)) : 1;
  if (const auto offset = decimal_number(text_of(node, "offset"))) {
    const auto shift = state_.grid.admit(offset->numerator, offset->denominator * divisions_);
    if (shift) base.at = std::max(Beats(0), cursor_ + *shift);
  }
  const pugi::xml_node sound = node.child("sound");
  constexpr std::array<const char*, 6> ways{"dacapo", "dalsegno", "segno",
                                            "coda",   "tocoda",   "fine"};
  sound_navigates_ = std::any_of(ways.begin(), ways.end(),
                                 [&](const char* way) { return !sound.attribute(way).empty(); });
  first_here_ = bar().directions.size();
  for (const pugi::xml_node type : node.children("direction-type")) {
    for (const pugi::xml_node child : type.children()) read_direction_type(child, base);
  }
  if (!sound) return;
  if (const auto tempo = positive(attribute_of(sound, "tempo"))) {
    attach_tempo(Bpm(*tempo), base);
  }
  read_sound(sound, base);
}

void PartReader::read_direction_type(pugi::xml_node type, Direction base) {
  const std::string_view name = type.name();
  const auto add = [&](DirectionKind kind, std::string_view text = {}) {
    base.kind = kind;
    base.text = text;
    bar().directions.push_back(base);
  };
  if (name == "words") read_words(text_of(type), base);
  if (name == "rehearsal") add(DirectionKind::rehearsal, text_of(type));
  if (name == "metronome") read_metronome(type, base);
  if (name == "dynamics") {
    for (const pugi::xml_node mark : type.children()) {
      const bool other = std::string_view(mark.name()) == "other-dynamics";
      add(DirectionKind::dynamics, other ? text_of(mark) : std::string_view(mark.name()));
    }
  }
  if (name == "wedge") {
    const std::string_view kind = attribute_of(type, "type");
    if (kind == "crescendo") add(DirectionKind::wedge_start_up);
    if (kind == "diminuendo") add(DirectionKind::wedge_start_down);
    if (kind == "stop") add(DirectionKind::wedge_stop);
  }
  if (name == "octave-shift") {
    const std::string_view kind = attribute_of(type, "type");
    const int octaves = attribute_of(type, "size") == "15" ? 2 : 1;
    // "down" is an 8va line: what is drawn lies an octave below what sounds.
    base.octave_shift = kind == "down" ? octaves : kind == "up" ? -octaves : 0;
    if (kind == "stop") add(DirectionKind::octave_shift_stop);
    if (base.octave_shift != 0) add(DirectionKind::octave_shift_start);
  }
  if (sound_navigates_) return;
  if (name == "segno") bar().navigation.segno = true;
  if (name == "coda") coda_signs_.push_back({part_.bars.size() - 1, base.at});
}

void PartReader::read_words(std::string_view text, const Direction& base) {
  if (text.empty()) return;
  Direction direction = base;
  direction.text = text;
  const PluckWord word = pluck_word(text);
  if (word == PluckWord::pizzicato) direction.kind = DirectionKind::pizzicato;
  if (word == PluckWord::arco) direction.kind = DirectionKind::arco;
  if (word != PluckWord::none) pluck(word == PluckWord::pizzicato, base);
  if (!sound_navigates_) apply_navigation_words(text, bar().navigation);
  bar().directions.push_back(direction);
}

void PartReader::read_metronome(pugi::xml_node node, const Direction& base) {
  std::vector<Direction>& directions = bar().directions;
  const auto value = value_named(note_type_names, text_of(node, "beat-unit"));
  const auto count = first_number_in(text_of(node, "per-minute"));
  if (!value || !count) return;  // such as ♩ = ♪, which is no tempo by itself
  WrittenDuration unit;
  unit.value = *value;
  unit.dots = node.child("beat-unit-dot").empty() ? 0 : 1;
  // "Allegro" and its metronome mark in one direction are one tempo mark.
  const bool named =
      directions.size() > first_here_ && directions.back().kind == DirectionKind::words;
  if (!named) directions.push_back(base);
  directions.back().kind = DirectionKind::tempo;
  directions.back().metronome = Metronome{unit.beats(), *count};
}

/// The sounding tempo goes with the mark or the words of its direction that name it.
void PartReader::attach_tempo(Bpm tempo, const Direction& base) {
  std::vector<Direction>& directions = bar().directions;
  const auto mark = [&](DirectionKind kind) {
    return std::find_if(directions.begin() + static_cast<std::ptrdiff_t>(first_here_),
                        directions.end(), [&](const Direction& d) { return d.kind == kind; });
  };
  auto found = mark(DirectionKind::tempo);
  if (found == directions.end()) found = mark(DirectionKind::words);
  if (found == directions.end()) found = directions.insert(directions.end(), base);
  found->kind = DirectionKind::tempo;
  found->sound_tempo = tempo;
}

void PartReader::read_sound(pugi::xml_node sound, const Direction& base) {
  Navigation& navigation = bar().navigation;
  if (attribute_of(sound, "dacapo") == "yes") navigation.da_capo = true;
  if (sound.attribute("dalsegno")) navigation.dal_segno = true;
  if (sound.attribute("segno")) navigation.segno = true;
  if (sound.attribute("coda")) navigation.coda = true;
  if (sound.attribute("tocoda")) navigation.to_coda = true;
  if (const auto fine = sound.attribute("fine")) {
    navigation.fine = std::string_view(fine.value()) != "no";
  }
  if (node_is_bare(sound)) {
    const auto tempo = positive(attribute_of(sound, "tempo"));
    first_here_ = bar().directions.size();
    if (tempo) attach_tempo(Bpm(*tempo), base);
  }
  const std::string_view pizzicato = attribute_of(sound, "pizzicato");
  if (pizzicato == "yes" || pizzicato == "no") pluck(pizzicato == "yes", base);
}

void PartReader::pluck(bool plucked, const Direction& base) {
  plucking_.push_back({part_.bars.size() - 1, base.at, plucked});
}

}  // namespace endpin::notation
