#pragma once

#include <cstdint>
#include <vector>

#include "align/token.h"

namespace endpin::listen {

/// The tokens that begin at one candidate, at most one an event. Few events have one at a time, so
/// an event holds only the place of its token: four bytes, which tells in a long score.
class TokenTable {
 public:
  struct Entry {
    int event;
    Token token;
  };

  explicit TokenTable(std::size_t events) : place_(events, nowhere) {}

  /// The token of `event`; null if there is none. O(1).
  const Token* find(std::size_t event) const {
    const std::int32_t place = place_[event];
    return place == nowhere ? nullptr : &entries_[static_cast<std::size_t>(place)].token;
  }
  /// Makes `token` that of `event`, instead of an earlier one. O(1).
  void put(std::size_t event, const Token& token) {
    std::int32_t& place = place_[event];
    if (place != nowhere) {
      entries_[static_cast<std::size_t>(place)].token = token;
      return;
    }
    place = static_cast<std::int32_t>(entries_.size());
    entries_.push_back({static_cast<int>(event), token});
  }
  /// In the order in which the events came.
  std::vector<Entry>& entries() { return entries_; }
  /// O(tokens).
  void clear() {
    for (const Entry& e : entries_) place_[static_cast<std::size_t>(e.event)] = nowhere;
    entries_.clear();
  }

 private:
  static constexpr std::int32_t nowhere = -1;
  std::vector<std::int32_t> place_;
  std::vector<Entry> entries_;
};

}  // namespace endpin::listen
