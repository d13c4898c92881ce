#pragma once

#include <functional>

#include "job_queue.h"
#include "marked_scores.h"

namespace endpin::desk {

/// Writes the lessons' folders in a thread of its own. Thread-safe.
class LessonMaker {
 public:
  using Told = std::function<void(book::Id lesson, const std::string& state)>;
  LessonMaker(book::Book& book, MarkedScores& marked, Told told);

  /// Also takes up what was being made when the desk ended.
  void start();
  void make(book::Id lesson) { jobs_.add(lesson); }
  void stop() { jobs_.stop(); }

 private:
  void make_now(book::Id lesson);
  Result<void> write(const book::Lesson& lesson);

  book::Book& book_;
  MarkedScores& marked_;
  Told told_;
  JobQueue jobs_;  ///< last: its thread uses the rest
};

}  // namespace endpin::desk
