#include "job_queue.h"

#include <condition_variable>
#include <mutex>
#include <vector>

#include <gtest/gtest.h>

namespace endpin::desk {
namespace {

// Work that says when it began and ends when it may, or when it is told to stop.
class Bench {
 public:
  void work(book::Id job, const std::stop_token& stop) {
    std::unique_lock lock(mutex_);
    begun_.push_back(job);
    changed_.notify_all();
    const std::stop_callback wake(stop, [this] { changed_.notify_all(); });
    while (!may_end_ && !stop.stop_requested()) {
      changed_.wait_for(lock, std::chrono::milliseconds(10));
    }
    if (stop.stop_requested()) stopped_.push_back(job);
    ++done_;
    changed_.notify_all();
  }
  void wait_begun(std::size_t many) {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [&] { return begun_.size() >= many; });
  }
  void wait_done(int many) {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [&] { return done_ >= many; });
  }
  void let_end() {
    const std::lock_guard lock(mutex_);
    may_end_ = true;
    changed_.notify_all();
  }
  std::vector<book::Id> begun() {
    const std::lock_guard lock(mutex_);
    return begun_;
  }
  std::vector<book::Id> stopped() {
    const std::lock_guard lock(mutex_);
    return stopped_;
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  std::vector<book::Id> begun_, stopped_;
  bool may_end_ = false;
  int done_ = 0;
};

TEST(JobQueue, DoesJobsInTheirOrder) {
  Bench bench;
  JobQueue jobs([&](book::Id job, const std::stop_token& stop) { bench.work(job, stop); });
  bench.let_end();
  for (const book::Id job : {3, 1, 2}) jobs.add(job);
  jobs.start();
  bench.wait_done(3);
  EXPECT_EQ(bench.begun(), (std::vector<book::Id>{3, 1, 2}));
  EXPECT_TRUE(bench.stopped().empty());
}

TEST(JobQueue, ForgetsWhatWaitsAndStopsWhatIsBeingDone) {
  Bench bench;
  JobQueue jobs([&](book::Id job, const std::stop_token& stop) { bench.work(job, stop); });
  for (const book::Id job : {1, 2, 3}) jobs.add(job);
  jobs.start();
  bench.wait_begun(1);
  jobs.cancel(2);
  jobs.cancel(1);
  bench.wait_begun(2);
  bench.let_end();
  bench.wait_done(2);
  EXPECT_EQ(bench.begun(), (std::vector<book::Id>{1, 3}));
  EXPECT_EQ(bench.stopped(), std::vector<book::Id>{1});
}

TEST(JobQueue, EndsWithTheJobThatIsBeingDone) {
  Bench bench;
  JobQueue jobs([&](book::Id job, const std::stop_token& stop) { bench.work(job, stop); });
  for (const book::Id job : {1, 2}) jobs.add(job);
  jobs.start();
  bench.wait_begun(1);
  jobs.stop();
  EXPECT_TRUE(jobs.stopping());
  EXPECT_EQ(bench.begun(), std::vector<book::Id>{1});
}

}  // namespace
}  // namespace endpin::desk
