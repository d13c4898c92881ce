#include "finding_matching.h"

#include <gtest/gtest.h>

namespace endpin::measures {
namespace {

Finding said(FindingKind kind, std::vector<int> notes, double from = 0, double to = 1) {
  Finding finding;
  finding.kind = kind;
  finding.notes = std::move(notes);
  finding.from = Seconds(from);
  finding.to = Seconds(to);
  return finding;
}
TrueFinding truth(FindingKind kind, std::vector<int> notes, double from = 0, double to = 1) {
  return {kind, std::move(notes), Seconds(from), Seconds(to)};
}

TEST(FindingMatching, NeedsTheSameKindAndASharedNote) {
  const std::vector wanted{truth(FindingKind::flat, {3, 4})};
  EXPECT_EQ(
      match_findings(wanted, {}, {said(FindingKind::flat, {4})}).by_kind[FindingKind::flat].matched,
      1);
  EXPECT_EQ(
      match_findings(wanted, {}, {said(FindingKind::flat, {5})}).by_kind[FindingKind::flat].matched,
      0);
  const auto other = match_findings(wanted, {}, {said(FindingKind::sharp, {4})});
  EXPECT_EQ(other.not_found.size(), 1u);
  ASSERT_EQ(other.false_findings.size(), 1u);
  EXPECT_EQ(other.false_findings[0]->kind, FindingKind::sharp);
}

TEST(FindingMatching, PairsOneToOne) {
  const std::vector wanted{truth(FindingKind::flat, {3})};
  const std::vector twice{said(FindingKind::flat, {3}), said(FindingKind::flat, {3})};
  const auto counts = match_findings(wanted, {}, twice).by_kind[FindingKind::flat];
  EXPECT_EQ(counts.matched, 1);
  EXPECT_EQ(counts.found, 2);
  EXPECT_DOUBLE_EQ(counts.precision(), 0.5);
}

TEST(FindingMatching, WithoutNotesTheTimesMustMeet) {
  const std::vector wanted{truth(FindingKind::restart, {}, 5, 6)};
  EXPECT_EQ(match_findings(wanted, {}, {said(FindingKind::restart, {}, 6.2, 7)})
                .by_kind[FindingKind::restart]
                .matched,
            1);
  EXPECT_EQ(match_findings(wanted, {}, {said(FindingKind::restart, {}, 6.4, 7)})
                .by_kind[FindingKind::restart]
                .matched,
            0);
}

TEST(FindingMatching, ToleratedOnesCountNeitherWay) {
  const auto match =
      match_findings({}, {truth(FindingKind::extra, {2})}, {said(FindingKind::extra, {2})});
  EXPECT_TRUE(match.false_findings.empty());
  EXPECT_TRUE(match.by_kind.empty());
}

TEST(FindingMatching, PassesOverPraise) {
  EXPECT_TRUE(match_findings({}, {}, {said(FindingKind::steady, {1})}).false_findings.empty());
}

}  // namespace
}  // namespace endpin::measures
