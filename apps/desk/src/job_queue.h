#pragma once

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <stop_token>
#include <thread>

#include "endpin/book/students.h"

namespace endpin::desk {

/// Does one job after the other in a thread of its own, first come first served. Thread-safe.
class JobQueue {
 public:
  /// `stop` is asked for when the job is cancelled or the desk ends.
  using Work = std::function<void(book::Id job, const std::stop_token& stop)>;
  explicit JobQueue(Work work) : work_(std::move(work)) {}
  ~JobQueue() { stop(); }

  void start();
  void add(book::Id job);
  /// Forgets a job that waits; asks the one that is being done to end.
  void cancel(book::Id job);
  /// Ends after the job that is being done.
  void stop();
  bool stopping() const;

 private:
  void run();

  Work work_;
  mutable std::mutex mutex_;
  std::condition_variable arrived_;
  std::deque<book::Id> waiting_;
  book::Id doing_ = 0;
  std::stop_source stop_doing_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace endpin::desk
