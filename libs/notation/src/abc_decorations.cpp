#include "abc_decorations.h"

#include <algorithm>
#include <utility>

#include "navigation_words.h"

namespace endpin::notation {
namespace {

struct NamedArticulation {
  std::string_view name;
  Articulation value;
};
constexpr std::array<NamedArticulation, 8> articulations{{{"staccato", Articulation::staccato},
                                                          {".", Articulation::staccato},
                                                          {"tenuto", Articulation::tenuto},
                                                          {"wedge", Articulation::staccatissimo},
                                                          {"accent", Articulation::accent},
                                                          {">", Articulation::accent},
                                                          {"emphasis", Articulation::accent},
                                                          {"marcato", Articulation::marcato}}};

struct NamedOrnament {
  std::string_view name;
  Ornament value;
};
constexpr std::array<NamedOrnament, 14> ornaments{{{"trill", Ornament::trill},
                                                   {"trill(", Ornament::trill},
                                                   {"mordent", Ornament::mordent},
                                                   {"lowermordent", Ornament::mordent},
                                                   {"uppermordent", Ornament::mordent},
                                                   {"pralltriller", Ornament::mordent},
                                                   {"turn", Ornament::turn},
                                                   {"turnx", Ornament::turn},
                                                   {"invertedturn", Ornament::turn},
                                                   {"invertedturnx", Ornament::turn},
                                                   {"roll", Ornament::turn},
                                                   {"slide", Ornament::glissando},
                                                   {"~(", Ornament::glissando},
                                                   {"-(", Ornament::glissando}}};

constexpr std::array<std::string_view, 13> dynamics{"pppp", "ppp", "pp",   "p",   "mp", "mf", "f",
                                                    "ff",   "fff", "ffff", "sfz", "sf", "fp"};

// Known, and saying nothing that the model holds.
constexpr std::array<std::string_view, 17> silent{
    "trill)", "arpeggio", "shortphrase", "mediumphrase", "longphrase", "upbow(",
    "~)",     "-)",       "editorial",   "courtesy",     "beamon",     "xstem",
    "rbstop", "8va(",     "8va)",        "8vb(",         "8vb)"};

template <typename Values, typename Value>
bool among(const Values& values, const Value& value) {
  return std::find(values.begin(), values.end(), value) != values.end();
}

bool apply_technique(std::string_view name, Note& note) {
  if (name == "upbow") return note.printed.bow = Bow::up, true;
  if (name == "downbow") return note.printed.bow = Bow::down, true;
  if (name == "open") return note.printed.open_string = true;
  if (name == "thumb") return note.printed.thumb = true;
  if (name == "snap" || name == "plus" || name == "+") return note.plucked = true;
  if (name == "fermata" || name == "invertedfermata") return note.fermata = true;
  if (name == "breath" || name == "caesura") return note.breath_after = true;
  if (name.size() == 1 && name[0] >= '0' && name[0] <= '5') {
    note.printed.fingers.push_back(name[0] - '0');
    return true;
  }
  const bool strokes = !name.empty() && name.find_first_not_of('/') == name.npos;
  if (strokes) {
    note.tremolo_marks = static_cast<int>(std::min<std::size_t>(name.size(), 4));
    note.ornament = Ornament::tremolo;
  }
  return strokes;
}

bool apply_sound(std::string_view name, Note& note) {
  for (const NamedArticulation& articulation : articulations) {
    if (articulation.name != name) continue;
    if (!among(note.articulations, articulation.value)) {
      note.articulations.push_back(articulation.value);
    }
    return true;
  }
  for (const NamedOrnament& ornament : ornaments) {
    if (ornament.name == name) return note.ornament = ornament.value, true;
  }
  return false;
}

Direction direction(DirectionKind kind, std::string_view text = {}) {
  Direction d;
  d.kind = kind;
  d.text = text;
  return d;
}

/// Jumps: the sign or words, and what they do. ABC 2.1: !D.C.! !dacapo! !D.S.! !dacoda! !fine!.
std::optional<Direction> apply_jump(std::string_view name, Navigation& navigation) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 9> words{
      {{"D.C.", "D.C."},
       {"dacapo", "Da Capo"},
       {"D.S.", "D.S."},
       {"dalsegno", "Dal Segno"},
       {"fine", "Fine"},
       {"dacoda", "To Coda"},
       {"D.C.alfine", "D.C. al Fine"},
       {"D.S.alcoda", "D.S. al Coda"},
       {"D.C.alcoda", "D.C. al Coda"}}};
  for (const auto& [key, text] : words) {
    if (key != name) continue;
    apply_navigation_words(text, navigation);
    return direction(DirectionKind::words, text);
  }
  return std::nullopt;
}

std::optional<Direction> as_direction(std::string_view name, Navigation& navigation) {
  if (among(dynamics, name)) return direction(DirectionKind::dynamics, name);
  if (name == "crescendo(" || name == "<(") return direction(DirectionKind::wedge_start_up);
  if (name == "diminuendo(" || name == ">(") return direction(DirectionKind::wedge_start_down);
  if (name == "crescendo)" || name == "<)" || name == "diminuendo)" || name == ">)") {
    return direction(DirectionKind::wedge_stop);
  }
  return apply_jump(name, navigation);
}

}  // namespace

AbcDecoration apply_decoration(std::string_view name, Note& note, Navigation& navigation) {
  AbcDecoration result;
  if (name == "segno") navigation.segno = result.known = true;
  if (name == "coda") navigation.coda = result.known = true;
  result.known =
      result.known || apply_technique(name, note) || apply_sound(name, note) || among(silent, name);
  if (result.known) return result;
  result.direction = as_direction(name, navigation);
  result.known = result.direction.has_value();
  return result;
}

std::string_view default_symbol(char letter) {
  switch (letter) {
    case '.':
      return "staccato";
    case '~':
      return "roll";
    case 'H':
      return "fermata";
    case 'L':
      return "accent";
    case 'M':
      return "lowermordent";
    case 'O':
      return "coda";
    case 'P':
      return "uppermordent";
    case 'S':
      return "segno";
    case 'T':
      return "trill";
    case 'u':
      return "upbow";
    case 'v':
      return "downbow";
    default:
      return {};
  }
}

}  // namespace endpin::notation
