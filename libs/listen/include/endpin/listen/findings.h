#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "endpin/hearing/hearing.h"
#include "endpin/timeline/timeline.h"
#include "endpin/words/language.h"

/// Verdicts: what is worth saying about a hearing. Apart from the alignment, so that a doubt there
/// never turns into an accusation here.
namespace endpin {

struct FindingOptions {
  /// What the piece demands ("first-position", …); sets how strict the verdicts are. Unknown or
  /// empty: as for first position.
  std::string step;
  Language language = Language::en_us;  ///< of `says`
  /// Quarters a minute that were asked for; empty: the score's own tempo, if it gives one.
  std::optional<Bpm> tempo;
};

/// The sentence of a finding in another language.
std::string says(const Finding& finding, Language language);

/// Findings about `item` of `hearing`, in the order of their times; work and good ones. None unless
/// its status is ok.
/// REQUIRES: `timeline` is that item's.
std::vector<Finding> findings(const Hearing& hearing, const Timeline& timeline,
                              const FindingOptions& options = {}, int item = 0);

/// Puts the findings about all items into `hearing`, and with them what follows from them: the
/// fastest tempo at which bars were clean. REQUIRES: `items` are those that were heard.
void add_findings(Hearing& hearing, std::span<const Timeline> items,
                  const FindingOptions& options = {});

}  // namespace endpin
