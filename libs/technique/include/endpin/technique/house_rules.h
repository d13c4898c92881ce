#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"

namespace endpin {

enum class RuleForce { prefer, avoid, never };
enum class RuleSubject { open_strings, finger, string, extensions, position, shifts };
enum class RuleWhen { always, ascending, descending, slow, fast };

/// One line of a teacher's own, which outranks our costs:
///
/// docs/house-rules.md says the same to a teacher.
///
///   prefer|avoid|never  open-strings | finger N | string N | extensions | position N | shifts
///   [ascending|descending|slow|fast]
///   cost NAME VALUE      (any name of the cost tables)
struct HouseRule {
  RuleForce force = RuleForce::prefer;
  RuleSubject subject = RuleSubject::open_strings;
  int number = 0;  ///< of the finger, string or position
  RuleWhen when = RuleWhen::always;
  std::string cost_name;  ///< for `cost NAME VALUE`; the members above then mean nothing
  double cost_value = 0;

  bool operator==(const HouseRule&) const = default;
};

Result<HouseRule> parse_house_rule(std::string_view line);
/// One rule a line; empty lines and those that begin with # are passed over.
Result<std::vector<HouseRule>> parse_house_rules(std::string_view text);

}  // namespace endpin
