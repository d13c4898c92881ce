#pragma once

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>

#include "marked_scores.h"

namespace endpin::desk {

/// Writes the lessons' folders in a thread of its own. Thread-safe.
class LessonMaker {
 public:
  using Told = std::function<void(book::Id lesson, const std::string& state)>;
  LessonMaker(book::Book& book, MarkedScores& marked, Told told);
  ~LessonMaker();

  /// Also takes up what was being made when the desk ended.
  void start();
  void make(book::Id lesson);
  void stop();

 private:
  void work();
  void make_now(book::Id lesson);
  Result<void> write(const book::Lesson& lesson);

  book::Book& book_;
  MarkedScores& marked_;
  Told told_;
  std::mutex mutex_;
  std::condition_variable arrived_;
  std::deque<book::Id> waiting_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace endpin::desk
