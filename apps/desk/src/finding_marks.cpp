#include "finding_marks.h"

#include "take_items.h"

namespace endpin::desk {
namespace {

std::string joined(const std::vector<std::string>& words) {
  std::string all;
  for (const std::string& word : words) all += (all.empty() ? "" : ",") + word;
  return all;
}

}  // namespace

book::FindingMarks finding_marks(const std::filesystem::path& folder) {
  book::FindingMarks marks;
  std::map<std::string, int> seen;
  std::string score;
  for (const HeardItem& item : heard_items(folder)) {
    const auto hearing = hearing_of(folder, item.item);
    if (!hearing) continue;
    if (item.item == 0) score = hearing->score.sha256;
    for (const Finding& finding : hearing->findings) {
      std::string mark = "@" + score.substr(0, 16) + " " + item.key + " ";
      mark += std::string(name(finding.kind)) + " " + joined(finding.bars);
      const int before = seen[mark]++;  // several of a kind may lie in a bar
      marks[finding.id] = mark + " " + std::to_string(before);
    }
  }
  return marks;
}

Result<void> know_findings(book::Book& book, book::Id take, const std::filesystem::path& folder) {
  const auto known = book.words().knows_findings(take);
  if (!known) return Unexpected(known.error());
  return *known ? Result<void>() : book.words().know_findings(take, finding_marks(folder));
}

}  // namespace endpin::desk
