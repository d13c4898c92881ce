#pragma once

#include <chrono>
#include <condition_variable>
#include <deque>
#include <list>
#include <memory>
#include <mutex>
#include <string>

namespace endpin::desk {

/// Hands what happens to every page that listens. Thread-safe.
class Events {
 public:
  /// One listener's queue; a listener that does not keep up loses the oldest.
  class Listener {
   public:
    /// The next event as the stream says it; empty if none came in `patience` or the desk stops.
    std::string next(std::chrono::milliseconds patience);

   private:
    friend class Events;
    std::mutex mutex_;
    std::condition_variable arrived_;
    std::deque<std::string> waiting_;
    bool closed_ = false;
  };

  /// Nothing: there are too many.
  std::shared_ptr<Listener> listen();
  /// `kind` "take", "piece" or "lesson"; `json` on one line.
  void tell(const std::string& kind, const std::string& json);
  /// Wakes all listeners for good.
  void close();
  bool closed() const;

 private:
  mutable std::mutex mutex_;
  std::list<std::weak_ptr<Listener>> listeners_;
  bool closed_ = false;
};

}  // namespace endpin::desk
