#include "align/way_back.h"

#include <algorithm>

namespace endpin::listen {

int WayBack::add(const Record& record) {
  records_.push_back(record);
  return static_cast<int>(records_.size()) - 1;
}

void WayBack::keep_ways_to(const std::vector<int*>& ends) {
  std::vector<int> place(records_.size(), -1);
  for (const int* end : ends) {
    for (int i = *end; i >= 0 && place[static_cast<std::size_t>(i)] < 0; i = (*this)[i].before) {
      place[static_cast<std::size_t>(i)] = 0;
    }
  }
  // Every record stands after the one before it, so that one sweep renumbers them.
  int kept = 0;
  for (std::size_t i = 0; i < records_.size(); ++i) {
    if (place[i] < 0) continue;
    place[i] = kept;
    Record record = records_[i];
    if (record.before >= 0) record.before = place[static_cast<std::size_t>(record.before)];
    records_[static_cast<std::size_t>(kept++)] = record;
  }
  records_.resize(static_cast<std::size_t>(kept));
  for (int* end : ends) {
    if (*end >= 0) *end = place[static_cast<std::size_t>(*end)];
  }
  limit_ = std::max<std::size_t>(100'000, 2 * records_.size());
}

}  // namespace endpin::listen
