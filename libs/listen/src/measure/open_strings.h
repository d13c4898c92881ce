#pragma once

#include <array>
#include <string_view>

/// The strings of the four instruments, as far as the hearing needs them.
namespace endpin::listen {

struct OpenString {
  std::string_view name;
  int midi;
};

/// Highest first; null for an instrument that is not one of the four. Tuned in fifths, the double
/// bass in fourths (practice).
inline const std::array<OpenString, 4>* open_strings(std::string_view instrument) {
  static constexpr std::array<OpenString, 4> violin{{{"E", 76}, {"A", 69}, {"D", 62}, {"G", 55}}};
  static constexpr std::array<OpenString, 4> viola{{{"A", 69}, {"D", 62}, {"G", 55}, {"C", 48}}};
  static constexpr std::array<OpenString, 4> cello{{{"A", 57}, {"D", 50}, {"G", 43}, {"C", 36}}};
  static constexpr std::array<OpenString, 4> bass{{{"G", 43}, {"D", 38}, {"A", 33}, {"E", 28}}};
  if (instrument == "violin") return &violin;
  if (instrument == "viola") return &viola;
  if (instrument == "cello") return &cello;
  return instrument == "bass" ? &bass : nullptr;
}

}  // namespace endpin::listen
