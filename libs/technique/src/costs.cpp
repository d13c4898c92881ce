#include <array>
#include <charconv>
#include <sstream>

#include "endpin/technique/bowing.h"
#include "endpin/technique/fingering.h"
#include "endpin/technique/house_rules.h"

namespace endpin {

FingeringCosts default_fingering_costs(InstrumentKind kind) {
  FingeringCosts costs;
  const auto which = static_cast<std::size_t>(kind);
#define COST(name, violin, viola, cello, bass, why) \
  costs.name = std::array<double, 4>{violin, viola, cello, bass}[which];
#include "endpin/technique/fingering_costs.def"
#undef COST
  return costs;
}

bool set_cost(FingeringCosts& costs, std::string_view wanted, double value) {
#define COST(name, violin, viola, cello, bass, why) \
  if (wanted == #name) return costs.name = value, true;
#include "endpin/technique/fingering_costs.def"
#undef COST
  return false;
}

bool set_cost(BowingCosts& costs, std::string_view wanted, double value) {
#define COST(name, standard, why) \
  if (wanted == #name) return costs.name = value, true;
#include "endpin/technique/bowing_costs.def"
#undef COST
  return false;
}

namespace {

template <typename E, std::size_t N>
std::optional<E> named(const std::array<std::string_view, N>& names, std::string_view word) {
  for (std::size_t i = 0; i < N; ++i) {
    if (names[i] == word) return static_cast<E>(i);
  }
  return std::nullopt;
}

constexpr std::array<std::string_view, 3> forces{"prefer", "avoid", "never"};
constexpr std::array<std::string_view, 6> subjects{"open-strings", "finger",   "string",
                                                   "extensions",   "position", "shifts"};
constexpr std::array<std::string_view, 5> times{"always", "ascending", "descending", "slow",
                                                "fast"};

Unexpected refuse(std::string_view line) {
  return Unexpected(Error{ErrorKind::input, "house rules", "",
                          "\"" + std::string(line) + "\" is not understood",
                          "Write for example: avoid finger 4 slow"});
}

bool needs_number(RuleSubject subject) {
  return subject == RuleSubject::finger || subject == RuleSubject::string ||
         subject == RuleSubject::position;
}

bool is_cost(std::string_view name) {
  FingeringCosts fingering;
  BowingCosts bowing;
  return set_cost(fingering, name, 0) || set_cost(bowing, name, 0);
}

}  // namespace

Result<HouseRule> parse_house_rule(std::string_view line) {
  std::istringstream words{std::string(line)};
  std::string word;
  HouseRule rule;
  words >> word;
  if (word == "cost") {
    if (!(words >> rule.cost_name >> rule.cost_value) || !is_cost(rule.cost_name)) {
      return refuse(line);
    }
    return words >> word ? Result<HouseRule>(refuse(line)) : rule;
  }
  const auto force = named<RuleForce>(forces, word);
  words >> word;
  const auto subject = named<RuleSubject>(subjects, word);
  if (!force || !subject) return refuse(line);
  rule.force = *force;
  rule.subject = *subject;
  if (needs_number(*subject) && !(words >> rule.number)) return refuse(line);
  if (!(words >> word)) return rule;
  const auto when = named<RuleWhen>(times, word);
  if (!when || words >> word) return refuse(line);
  rule.when = *when;
  return rule;
}

Result<std::vector<HouseRule>> parse_house_rules(std::string_view text) {
  std::vector<HouseRule> rules;
  std::istringstream lines{std::string(text)};
  std::string line;
  for (int number = 1; std::getline(lines, line); ++number) {
    const std::size_t first = line.find_first_not_of(" \t\r");
    if (first == std::string::npos || line[first] == '#') continue;
    Result<HouseRule> rule = parse_house_rule(line);
    if (!rule) {
      Error error = rule.error();
      error.place = std::to_string(number);
      return Unexpected(std::move(error));
    }
    rules.push_back(*rule);
  }
  return rules;
}

}  // namespace endpin
