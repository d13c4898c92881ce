#include "error_owners.h"

#include <algorithm>
#include <numeric>

#include <fmt/format.h>

namespace endpin::evaluation {
namespace {

using namespace measures;

/// What one hearing of a take left unsaid, by its place in the truth, and what it said falsely.
struct Errors {
  std::vector<std::size_t> unsaid;
  std::vector<const Finding*> falsely;
};

Errors errors_of(const std::vector<TrueFinding>& truth, const std::vector<TrueFinding>& tolerated,
                 const Hearing& hearing) {
  const auto match = match_findings(truth, tolerated, hearing.findings);
  Errors errors{{}, match.false_findings};
  for (const auto* finding : match.not_found) {
    errors.unsaid.push_back(static_cast<std::size_t>(finding - truth.data()));
  }
  return errors;
}

bool is_unsaid(const Errors& errors, std::size_t i) {
  return std::find(errors.unsaid.begin(), errors.unsaid.end(), i) != errors.unsaid.end();
}

bool is_said_falsely(const Errors& errors, const Finding& finding) {
  return std::any_of(errors.falsely.begin(), errors.falsely.end(), [&](const Finding* other) {
    const bool shares = std::any_of(finding.notes.begin(), finding.notes.end(), [&](int n) {
      return std::find(other->notes.begin(), other->notes.end(), n) != other->notes.end();
    });
    const bool together = other->from <= finding.to && finding.from <= other->to;
    return other->kind == finding.kind && (shares || together);
  });
}

}  // namespace

const char* ErrorOwners::name(Owner owner) {
  static constexpr const char* names[] = {"coarse path", "fine path", "measures", "verdicts"};
  return names[static_cast<std::size_t>(owner)];
}

void ErrorOwners::add(const Take& take, const std::map<Told, Hearing>& told, Report& report) {
  const auto truth = true_findings(take.performance.findings, take.performance);
  const auto tolerated = true_findings(take.performance.tolerated, take.performance);
  std::vector<Errors> errors;
  for (const auto& [stage, hearing] : told) errors.push_back(errors_of(truth, tolerated, hearing));
  const auto owner_of = [&](const auto& is_error) {
    std::size_t stage = 1;
    while (stage < errors.size() && is_error(errors[stage])) ++stage;
    return static_cast<Owner>(stage - 1);
  };
  for (const std::size_t i : errors.front().unsaid) {
    const Owner owner = owner_of([&](const Errors& e) { return is_unsaid(e, i); });
    ++unsaid_[truth[i].kind][static_cast<std::size_t>(owner)];
    report.failures.push_back(
        fmt::format("UNSAID by the {} in {}: {}", name(owner), take.name, in_words(truth[i])));
  }
  for (const Finding* finding : errors.front().falsely) {
    const Owner owner = owner_of([&](const Errors& e) { return is_said_falsely(e, *finding); });
    ++false_[finding->kind][static_cast<std::size_t>(owner)];
    report.failures.push_back(
        fmt::format("FALSE by the {} in {}: {}", name(owner), take.name, in_words(*finding)));
  }
}

void ErrorOwners::add_counts(const std::string& on, const char* what, const Counts& counts,
                             Report& report) {
  for (const auto& [kind, by_owner] : counts) {
    for (std::size_t o = 0; o < owners; ++o) {
      if (by_owner[o] == 0) continue;
      const int all = std::accumulate(by_owner.begin(), by_owner.end(), 0);
      report.add({on, fmt::format("{} {}: {}", endpin::name(kind), what, name(Owner(o))),
                  1.0 * by_owner[o], "", std::nullopt, all, what});
    }
  }
}

void ErrorOwners::add_figures(const std::string& on, Report& report) const {
  add_counts(on, "unsaid", unsaid_, report);
  add_counts(on, "false", false_, report);
}

}  // namespace endpin::evaluation
