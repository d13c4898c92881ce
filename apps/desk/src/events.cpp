#include "events.h"

namespace endpin::desk {
namespace {

// Each holds a connection's thread. Chosen by us: several pages on several machines.
constexpr std::size_t most_listeners = 24;
constexpr std::size_t longest_queue = 1000;

}  // namespace

std::string Events::Listener::next(std::chrono::milliseconds patience) {
  std::unique_lock lock(mutex_);
  arrived_.wait_for(lock, patience, [this] { return closed_ || !waiting_.empty(); });
  if (waiting_.empty()) return {};
  std::string event = std::move(waiting_.front());
  waiting_.pop_front();
  return event;
}

std::shared_ptr<Events::Listener> Events::listen() {
  const std::lock_guard lock(mutex_);
  listeners_.remove_if([](const auto& listener) { return listener.expired(); });
  if (closed_ || listeners_.size() >= most_listeners) return nullptr;
  auto listener = std::make_shared<Listener>();
  listeners_.push_back(listener);
  return listener;
}

void Events::tell(const std::string& kind, const std::string& json) {
  const std::string event = "event: " + kind + "\ndata: " + json + "\n\n";
  const std::lock_guard lock(mutex_);
  for (const auto& weak : listeners_) {
    const auto listener = weak.lock();
    if (!listener) continue;
    const std::lock_guard own(listener->mutex_);
    if (listener->waiting_.size() >= longest_queue) listener->waiting_.pop_front();
    listener->waiting_.push_back(event);
    listener->arrived_.notify_one();
  }
}

void Events::close() {
  const std::lock_guard lock(mutex_);
  closed_ = true;
  for (const auto& weak : listeners_) {
    const auto listener = weak.lock();
    if (!listener) continue;
    const std::lock_guard own(listener->mutex_);
    listener->closed_ = true;
    listener->arrived_.notify_all();
  }
}

bool Events::closed() const {
  const std::lock_guard lock(mutex_);
  return closed_;
}

}  // namespace endpin::desk
