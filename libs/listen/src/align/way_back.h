#pragma once

#include <cstddef>
#include <vector>

namespace endpin::listen {

/// A step of a hypothesis' way: which event began at which candidate, and after what.
struct Record {
  int before;  ///< the record of the event before; -1: none
  int event;
  int candidate;
  int left_at;  ///< where the event before it was left for the hub; -1: it was not
  bool skipped, extra;
};

/// The ways of all hypotheses of a beam search, as a tree of records. Ways that no live hypothesis
/// came by are dropped now and then, so that memory follows the live ones and not the take.
class WayBack {
 public:
  int add(const Record& record);
  const Record& operator[](int i) const { return records_[static_cast<std::size_t>(i)]; }
  bool is_crowded() const { return records_.size() > limit_; }
  /// Keeps what leads to `ends` and gives them their new numbers; −1 stays.
  void keep_ways_to(const std::vector<int*>& ends);

 private:
  std::vector<Record> records_;
  std::size_t limit_ = 100'000;
};

}  // namespace endpin::listen
