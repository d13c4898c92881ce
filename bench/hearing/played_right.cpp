#include "played_right.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "onset_errors.h"

namespace endpin::evaluation {
namespace {

using namespace measures;

bool is_accused(const TrueNote& row, const Hearing& hearing) {
  return std::all_of(row.indices.begin(), row.indices.end(), [&](int i) {
    const auto state = hearing.notes[static_cast<std::size_t>(i)].state;
    return state == NoteState::wrong || state == NoteState::missed;
  });
}

void describe(const std::string& on, const Timeline& timeline, const std::vector<TrueNote>& truth,
              const Hearing& hearing, Report& report) {
  for (const auto& f : hearing.findings) {
    if (tone(f.kind) != Tone::work) continue;
    std::string notes;
    if (!f.notes.empty()) {
      notes = notes_in_words(timeline, hearing, f.notes.front() - 1, f.notes.front() + 1);
    }
    report.failures.push_back(fmt::format("FALSE {}: {} |{}", on, in_words(f), notes));
  }
  for (const auto& row : truth) {
    if (!is_accused(row, hearing)) continue;
    const int i = row.indices.front();
    report.failures.push_back(fmt::format("ACCUSED {}: note {} at {:.2f} s |{}", on, i,
                                          row.onset.value(),
                                          notes_in_words(timeline, hearing, i - 1, i + 1)));
  }
}

// One share a note, or one of them all.
void append(const std::vector<Share>& notes, DrawnOver drawn_over, std::vector<Share>& into) {
  if (drawn_over == DrawnOver::notes) {
    into.insert(into.end(), notes.begin(), notes.end());
    return;
  }
  Share take;
  for (const auto& n : notes) take.hits += n.hits, take.cases += n.cases;
  into.push_back(take);
}

}  // namespace

RightTally& RightTally::operator+=(const RightTally& other) {
  const auto join = [](std::vector<Share>& to, const std::vector<Share>& from) {
    to.insert(to.end(), from.begin(), from.end());
  };
  join(accused, other.accused);
  join(within_50_ms, other.within_50_ms);
  join(within_100_ms, other.within_100_ms);
  join(falsely, other.falsely);
  findings += other.findings;
  return *this;
}

void count_right(const std::string& on, const Timeline& timeline,
                 const std::vector<TrueNote>& truth, const Hearing& hearing, DrawnOver drawn_over,
                 RightTally& tally, Report& report) {
  const auto errors = note_errors(timeline, truth, hearing.notes);
  std::vector<Share> accused, near, about;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    const auto& e = errors[i];
    accused.push_back({is_accused(truth[i], hearing) ? 1.0 : 0.0, 1.0});
    near.push_back({e.found && std::abs(e.onset_s) <= 0.05 ? 1.0 : 0.0, 1.0});
    about.push_back({e.found && std::abs(e.onset_s) <= 0.1 ? 1.0 : 0.0, 1.0});
  }
  append(accused, drawn_over, tally.accused);
  append(near, drawn_over, tally.within_50_ms);
  append(about, drawn_over, tally.within_100_ms);
  const auto findings = std::count_if(hearing.findings.begin(), hearing.findings.end(),
                                      [](const Finding& f) { return tone(f.kind) == Tone::work; });
  tally.findings += static_cast<int>(findings);
  tally.falsely.push_back({findings > 0 ? 1.0 : 0.0, 1.0});
  describe(on, timeline, truth, hearing, report);
}

void add_right_figures(const std::string& on, const RightTally& tally, const Settings& settings,
                       Report& report, bool placed) {
  auto accused =
      share_figure(on, "notes called wrong or missed", tally.accused, "notes", settings.seed);
  accused.at_most = 0.003;
  report.add(accused);
  auto falsely =
      share_figure(on, "takes with a false finding", tally.falsely, "takes", settings.seed);
  falsely.at_most = 0.1;
  report.add(falsely);
  report.add({on, "findings to work on", static_cast<double>(tally.findings), "", std::nullopt,
              static_cast<int>(tally.falsely.size()), "takes"});
  if (!placed) return;
  report.add(share_figure(on, "onset within 50 ms", tally.within_50_ms, "notes", settings.seed));
  report.add(share_figure(on, "onset within 100 ms", tally.within_100_ms, "notes", settings.seed));
}

}  // namespace endpin::evaluation
