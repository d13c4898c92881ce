#include "sweeper.h"

namespace endpin::desk {
namespace {

constexpr std::chrono::hours every{1};

}  // namespace

Sweeper::Sweeper(book::Book& book, std::function<void()> swept)
    : book_(book), swept_(std::move(swept)), thread_([this] { work(); }) {}

Sweeper::~Sweeper() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  stop_.notify_all();
  thread_.join();
}

void Sweeper::work() {
  std::unique_lock lock(mutex_);
  while (!stopping_) {
    lock.unlock();
    const auto removed = book_.sweep();
    if (removed && *removed > 0) swept_();
    lock.lock();
    stop_.wait_for(lock, every, [this] { return stopping_; });
  }
}

}  // namespace endpin::desk
