#pragma once

#include <map>

#include "job_queue.h"
#include "marked_scores.h"

namespace endpin::desk {

/// Writes the folders of class sets in a thread of its own. Thread-safe.
class ClassSetMaker {
 public:
  /// `doing`: "engraving", "printing" or "playing" while it is made; empty otherwise.
  using Told =
      std::function<void(book::Id set, const std::string& state, const std::string& doing)>;
  ClassSetMaker(book::Book& book, MarkedScores& marked, Told told);

  /// Also takes up what was being made when the desk ended.
  void start();
  void make(book::Id set) { jobs_.add(set); }
  /// The set must not be "making" in the book any more.
  void cancel(book::Id set) { jobs_.cancel(set); }
  void stop() { jobs_.stop(); }
  std::string doing(book::Id set) const;

 private:
  void make_now(book::Id set, const std::stop_token& stop);
  Result<void> write(const book::ClassSet& set, const std::stop_token& stop);
  void set_doing(book::Id set, const std::string& what);

  book::Book& book_;
  MarkedScores& marked_;
  Told told_;
  mutable std::mutex mutex_;
  std::map<book::Id, std::string> doing_;
  JobQueue jobs_;  ///< last: its thread uses the rest
};

}  // namespace endpin::desk
