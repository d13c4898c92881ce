#pragma once

#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "endpin/score/score.h"
#include "endpin/technique/markings.h"

namespace endpin::technique {

/// What is printed or the teacher's at one written note; the teacher's wins.
struct Settled {
  FixedStop stop;
  Origin string_origin = Origin::proposed;
  Origin finger_origin = Origin::proposed;
  std::optional<Bow> bow;
  Origin bow_origin = Origin::proposed;
  bool stopped_harmonic = false;  ///< two fingers that sound a third pitch
};
using SettledById = std::unordered_map<std::string, Settled>;

SettledById settled(const Part& part, const std::vector<TeacherMarking>& teacher);
/// Of a note without an entry: nothing is settled.
const Settled& settled_of(const SettledById& all, const std::string& id);

}  // namespace endpin::technique
