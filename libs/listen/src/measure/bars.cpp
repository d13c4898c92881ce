#include "measure/bars.h"

#include <map>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

namespace endpin::listen {
namespace {

// A mean that is unknown until something was added.
class Mean {
 public:
  void add(double value) { sum_ += value, ++count_; }
  std::optional<double> value() const {
    return count_ > 0 ? std::optional(sum_ / count_) : std::nullopt;
  }

 private:
  double sum_ = 0;
  int count_ = 0;
};

struct Means {
  Mean cents, late_ms, ratio;

  void add(const HeardNote& h) {
    if (h.intonation) cents.add(h.intonation->value());
    if (h.deviation_ms) late_ms.add(*h.deviation_ms);
    if (h.sounding_ratio) ratio.add(*h.sounding_ratio);
  }
};

}  // namespace

void assemble_bars(Hearing& hearing) {
  using Place = std::tuple<int, std::string, int>;  // item, bar, pass
  std::vector<Place> order;
  std::map<Place, Means> bars;
  for (const NoteHearing& n : hearing.notes) {
    if (n.state != NoteState::heard || !n.heard) continue;
    const Place place(n.item, n.bar, n.pass);
    if (!bars.contains(place)) order.push_back(place);
    bars[place].add(*n.heard);
  }
  for (const Place& place : order) {
    const Means& means = bars[place];
    const auto& [item, number, pass] = place;
    BarHearing bar{number, pass, {}, means.late_ms.value(), means.ratio.value(), item};
    if (const auto cents = means.cents.value()) bar.intonation = Cents(*cents);
    hearing.bars.push_back(std::move(bar));
  }
}

}  // namespace endpin::listen
