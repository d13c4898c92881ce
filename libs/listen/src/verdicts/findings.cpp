#include "endpin/listen/findings.h"

#include <algorithm>
#include <string>

#include "endpin/words/sentence.h"

#include "verdicts/clean_bars.h"
#include "verdicts/take_view.h"

namespace endpin {
namespace {

std::string words_of(const Fact& fact) {
  if (const auto* number = std::get_if<double>(&fact)) return argument(*number);
  if (const auto* text = std::get_if<std::string>(&fact)) return *text;
  return argument(std::get<std::vector<std::string>>(fact));
}

}  // namespace

std::string says(const Finding& finding, Language language) {
  Sentence sentence{finding.message_key, {}};
  for (const auto& [name, fact] : finding.message_args) sentence.args[name] = words_of(fact);
  return say_line(sentence, language);
}

std::vector<Finding> findings(const Hearing& hearing, const Timeline& timeline,
                              const FindingOptions& options, int item) {
  std::vector<Finding> found;
  if (hearing.status != HearingStatus::ok) return found;
  const listen::TakeView take(hearing, timeline, options, item);
  if (take.size() == 0) return found;
  listen::add_note_findings(take, found);
  listen::add_pitch_findings(take, found);
  listen::add_time_findings(take, found);
  listen::add_length_findings(take, found);
  listen::add_slur_findings(take, found);
  listen::add_good_findings(take, found);
  std::stable_sort(found.begin(), found.end(),
                   [](const Finding& a, const Finding& b) { return a.from < b.from; });
  for (std::size_t i = 0; i < found.size(); ++i) {
    found[i].id =
        std::string("f").append(std::to_string(item)).append("-").append(std::to_string(i + 1));
    found[i].says = says(found[i], options.language);
  }
  return found;
}

void add_findings(Hearing& hearing, std::span<const Timeline> items,
                  const FindingOptions& options) {
  hearing.findings.clear();
  hearing.tempo.clean_bpm.reset();
  for (std::size_t i = 0; i < items.size(); ++i) {
    const int item = static_cast<int>(i);
    const auto found = findings(hearing, items[i], options, item);
    const listen::TakeView take(hearing, items[i], options, item);
    const auto clean = hearing.status == HearingStatus::ok && take.size() > 0
                           ? listen::fastest_clean_bpm(take, listen::clean_bars(take, found))
                           : std::nullopt;
    if (clean) hearing.tempo.clean_bpm = std::max(*clean, hearing.tempo.clean_bpm.value_or(0));
    hearing.findings.insert(hearing.findings.end(), found.begin(), found.end());
  }
}

}  // namespace endpin
