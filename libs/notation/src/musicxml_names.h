#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <utility>

#include "endpin/score/score.h"

/// MusicXML's words for the values of the score model, for the reader and the writer alike.
namespace endpin::notation {

template <typename T>
struct Named {
  std::string_view name;
  T value;
};

inline constexpr std::array<Named<NoteValue>, 14> note_type_names{{
    {"maxima", NoteValue::maxima},
    {"long", NoteValue::longa},
    {"breve", NoteValue::breve},
    {"whole", NoteValue::whole},
    {"half", NoteValue::half},
    {"quarter", NoteValue::quarter},
    {"eighth", NoteValue::eighth},
    {"16th", NoteValue::sixteenth},
    {"32nd", NoteValue::thirty_second},
    {"64th", NoteValue::sixty_fourth},
    {"128th", NoteValue::n128},
    {"256th", NoteValue::n256},
    {"512th", NoteValue::n512},
    {"1024th", NoteValue::n1024},
}};

/// The first name of a value is the one that is written; the others are read as well.
inline constexpr std::array<Named<Articulation>, 9> articulation_names{{
    {"staccato", Articulation::staccato},
    {"staccatissimo", Articulation::staccatissimo},
    {"tenuto", Articulation::tenuto},
    {"detached-legato", Articulation::portato},
    {"strong-accent", Articulation::marcato},
    {"accent", Articulation::accent},
    {"spiccato", Articulation::spiccato},
    {"stress", Articulation::accent},
    {"soft-accent", Articulation::accent},
}};

inline constexpr std::array<Named<Ornament>, 10> ornament_names{{
    {"trill-mark", Ornament::trill},
    {"turn", Ornament::turn},
    {"mordent", Ornament::mordent},
    {"delayed-turn", Ornament::turn},
    {"inverted-turn", Ornament::turn},
    {"delayed-inverted-turn", Ornament::turn},
    {"vertical-turn", Ornament::turn},
    {"inverted-mordent", Ornament::mordent},
    {"shake", Ornament::trill},
    {"haydn", Ornament::turn},
}};

inline constexpr std::array<Named<BarLine>, 10> bar_style_names{{
    {"regular", BarLine::regular},
    {"light-light", BarLine::double_line},
    {"light-heavy", BarLine::final_line},
    {"dashed", BarLine::dashed},
    {"dotted", BarLine::dotted},
    {"none", BarLine::none},
    {"heavy", BarLine::other},
    {"heavy-light", BarLine::other},
    {"heavy-heavy", BarLine::other},
    {"tick", BarLine::other},
}};

inline constexpr std::array<Named<ClefSign>, 4> clef_sign_names{
    {{"G", ClefSign::g},
     {"F", ClefSign::f},
     {"C", ClefSign::c},
     {"percussion", ClefSign::percussion}}};

inline constexpr std::array<Named<HarmonicPlace>, 3> harmonic_place_names{
    {{"base-pitch", HarmonicPlace::base},
     {"touching-pitch", HarmonicPlace::touching},
     {"sounding-pitch", HarmonicPlace::sounding}}};

template <typename T, std::size_t size>
constexpr std::optional<T> value_named(const std::array<Named<T>, size>& names,
                                       std::string_view name) {
  for (const Named<T>& entry : names) {
    if (entry.name == name) return entry.value;
  }
  return std::nullopt;
}

template <typename T, std::size_t size>
constexpr std::string_view name_of(const std::array<Named<T>, size>& names, T value) {
  for (const Named<T>& entry : names) {
    if (entry.value == value) return entry.name;
  }
  return {};
}

}  // namespace endpin::notation
