#include "decisions_follow.h"

#include "take_items.h"

namespace endpin::desk {
namespace {

// No id begins like this.
constexpr char mark_sign = '@';

std::string joined(const std::vector<std::string>& words) {
  std::string all;
  for (const std::string& word : words) all += (all.empty() ? "" : ",") + word;
  return all;
}

bool is_mark(const std::string& finding) { return !finding.empty() && finding[0] == mark_sign; }

std::string mark_of(const book::Decision& decision, const FindingMarks& before) {
  if (is_mark(decision.finding)) return decision.finding;
  const auto known = before.find(decision.finding);
  if (known != before.end()) return known->second;
  // The same number may mean another finding by and by. The time keeps two of it apart.
  return mark_sign + std::string("unknown ") + decision.finding + " " + decision.at;
}

}  // namespace

FindingMarks finding_marks(const std::filesystem::path& folder) {
  FindingMarks marks;
  std::map<std::string, int> seen;
  std::string score;
  for (const HeardItem& item : heard_items(folder)) {
    const auto hearing = hearing_of(folder, item.item);
    if (!hearing) continue;
    if (item.item == 0) score = hearing->score.sha256;
    for (const Finding& finding : hearing->findings) {
      std::string mark = mark_sign + score.substr(0, 16) + " " + item.key + " ";
      mark += std::string(name(finding.kind)) + " " + joined(finding.bars);
      const int before = seen[mark]++;  // several of a kind may lie in a bar
      marks[finding.id] = mark + " " + std::to_string(before);
    }
  }
  return marks;
}

Result<void> keep_under_marks(book::Book& book, book::Id take, const FindingMarks& before) {
  return book.words().move_decisions(
      take, [&](const book::Decision& decision) { return mark_of(decision, before); });
}

Result<void> follow_findings(book::Book& book, book::Id take, const FindingMarks& before,
                             const FindingMarks& after) {
  std::map<std::string, std::string> now;
  for (const auto& [id, mark] : after) now[mark] = id;
  return book.words().move_decisions(take, [&](const book::Decision& decision) {
    const std::string mark = mark_of(decision, before);
    const auto found = now.find(mark);
    return found == now.end() ? mark : found->second;
  });
}

}  // namespace endpin::desk
