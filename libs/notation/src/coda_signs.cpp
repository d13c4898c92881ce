#include "coda_signs.h"

#include <algorithm>

namespace endpin::notation {

void resolve_coda_signs(Part& part, const std::vector<CodaSign>& signs) {
  const bool begins = std::any_of(part.bars.begin(), part.bars.end(),
                                  [](const Bar& bar) { return bar.navigation.coda; });
  const bool sends = std::any_of(part.bars.begin(), part.bars.end(),
                                 [](const Bar& bar) { return bar.navigation.to_coda; });
  for (std::size_t i = 0; i < signs.size(); ++i) {
    const auto [bar, at] = signs[i];
    const bool last = i + 1 == signs.size();
    const bool is_beginning = !begins && last && (sends || signs.size() > 1);
    if (is_beginning) {
      part.bars[bar].navigation.coda = true;
    } else if (!sends) {
      part.bars[at == Beats(0) && bar > 0 ? bar - 1 : bar].navigation.to_coda = true;
    }
  }
}

}  // namespace endpin::notation
