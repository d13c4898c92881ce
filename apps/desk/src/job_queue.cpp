#include "job_queue.h"

#include <algorithm>

namespace endpin::desk {

void JobQueue::start() {
  thread_ = std::thread([this] { run(); });
}

void JobQueue::add(book::Id job) {
  const std::lock_guard lock(mutex_);
  waiting_.push_back(job);
  arrived_.notify_one();
}

void JobQueue::cancel(book::Id job) {
  const std::lock_guard lock(mutex_);
  std::erase(waiting_, job);
  if (doing_ == job) stop_doing_.request_stop();
}

void JobQueue::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
    stop_doing_.request_stop();
  }
  arrived_.notify_all();
  if (thread_.joinable()) thread_.join();
}

bool JobQueue::stopping() const {
  const std::lock_guard lock(mutex_);
  return stopping_;
}

void JobQueue::run() {
  while (true) {
    book::Id job = 0;
    std::stop_token stop;
    {
      std::unique_lock lock(mutex_);
      arrived_.wait(lock, [this] { return stopping_ || !waiting_.empty(); });
      if (stopping_) return;
      job = doing_ = waiting_.front();
      waiting_.pop_front();
      stop_doing_ = std::stop_source();
      stop = stop_doing_.get_token();
    }
    work_(job, stop);
    const std::lock_guard lock(mutex_);
    doing_ = 0;
  }
}

}  // namespace endpin::desk
