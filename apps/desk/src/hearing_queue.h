#pragma once

#include <atomic>
#include <condition_variable>
#include <functional>
#include <map>
#include <mutex>
#include <set>
#include <thread>
#include <vector>

#include "endpin/book/book.h"
#include "endpin/listen/apart.h"

#include "marked_scores.h"

namespace endpin::desk {

/// Hears the takes that wait in the book, a few at a time, oldest first. Thread-safe.
class HearingQueue {
 public:
  /// Called in a worker's thread when a take's state or progress changes.
  using Told = std::function<void(book::Id take)>;
  HearingQueue(book::Book& book, MarkedScores& scores, Told told);
  ~HearingQueue();

  void start(int workers);

  /// Something may wait.
  void wake();
  /// Stops hearing this take; false if no worker has it.
  bool cancel(book::Id take);
  /// 0…1; 0 if no worker has it.
  double progress(book::Id take) const;
  int under_way() const;
  /// What is under way goes back into the queue.
  void stop();

 private:
  void work();
  bool pause();
  void hear(const book::Take& take);
  Result<void> hear_and_keep(const book::Take& take);
  Result<std::vector<ItemHearing>> hear_now(const book::Take& take);
  void report(book::Id take, double done);
  void settle(const book::Take& take, Result<void> done);

  book::Book& book_;
  MarkedScores& scores_;
  Told told_;
  mutable std::mutex mutex_;
  std::condition_variable woken_;
  long wakes_ = 1;    ///< how often something may have come
  long handled_ = 0;  ///< how often all of it was found taken
  std::map<book::Id, double> progress_;
  std::set<book::Id> cancelled_;
  std::atomic<bool> stopping_{false};
  std::vector<std::thread> threads_;
};

}  // namespace endpin::desk
