#pragma once

#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>

#include "endpin/book/book.h"

namespace endpin::desk {

/// Removes the takes whose date has passed, at the start and every hour.
class Sweeper {
 public:
  /// `swept` is called after takes were removed.
  Sweeper(book::Book& book, std::function<void()> swept);
  ~Sweeper();
  Sweeper(const Sweeper&) = delete;
  Sweeper& operator=(const Sweeper&) = delete;

 private:
  void work();
  book::Book& book_;
  std::function<void()> swept_;
  std::mutex mutex_;
  std::condition_variable stop_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace endpin::desk
