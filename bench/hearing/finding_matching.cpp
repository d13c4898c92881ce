#include "finding_matching.h"

#include <algorithm>

namespace endpin::measures {
namespace {

constexpr double time_slack_s = 0.3;  // ours: the span of a finding is not itself under test

bool share_a_note(const std::vector<int>& a, const std::vector<int>& b) {
  return std::any_of(a.begin(), a.end(),
                     [&](int note) { return std::find(b.begin(), b.end(), note) != b.end(); });
}

bool fits(const TrueFinding& truth, const Finding& found) {
  if (truth.kind != found.kind) return false;
  if (!truth.notes.empty() && !found.notes.empty()) return share_a_note(truth.notes, found.notes);
  return found.from.value() <= truth.to.value() + time_slack_s &&
         truth.from.value() <= found.to.value() + time_slack_s;
}

}  // namespace

FindingMatch match_findings(const std::vector<TrueFinding>& truth,
                            const std::vector<TrueFinding>& tolerated,
                            const std::vector<Finding>& found) {
  std::vector<const Finding*> said;
  for (const auto& finding : found) {
    if (tone(finding.kind) == Tone::work) said.push_back(&finding);
  }
  std::vector<std::vector<int>> edges(truth.size());
  for (std::size_t i = 0; i < truth.size(); ++i) {
    for (std::size_t j = 0; j < said.size(); ++j) {
      if (fits(truth[i], *said[j])) edges[i].push_back(static_cast<int>(j));
    }
  }
  FindingMatch match;
  std::vector<bool> used(said.size(), false);
  const auto partner = greatest_matching(edges, said.size());
  for (std::size_t i = 0; i < truth.size(); ++i) {
    auto& counts = match.by_kind[truth[i].kind];
    ++counts.truth;
    if (partner[i] < 0) {
      match.not_found.push_back(&truth[i]);
      continue;
    }
    ++counts.matched;
    ++counts.found;
    used[static_cast<std::size_t>(partner[i])] = true;
  }
  for (std::size_t j = 0; j < said.size(); ++j) {
    const auto fits_it = [&](const TrueFinding& t) { return fits(t, *said[j]); };
    if (used[j] || std::any_of(tolerated.begin(), tolerated.end(), fits_it)) continue;
    ++match.by_kind[said[j]->kind].found;
    match.false_findings.push_back(said[j]);
  }
  return match;
}

}  // namespace endpin::measures
