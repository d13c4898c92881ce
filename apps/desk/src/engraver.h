#pragma once

#include <condition_variable>
#include <deque>
#include <filesystem>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "endpin/base/result.h"
#include "endpin/book/pieces.h"

namespace endpin::desk {

/// Draws scores ahead of need in a thread of its own, and keeps the drawings on the disk by the
/// content that they were made from. Thread-safe.
class Engraver {
 public:
  /// The pages as SVG.
  using Draw =
      std::function<Result<std::vector<std::string>>(const std::string& musicxml, double width_mm)>;
  /// Called in the engraver's thread whenever a piece's state changes.
  using Told = std::function<void(book::Id piece, const std::string& state)>;

  Engraver(std::filesystem::path cache, Draw draw, Told told);
  ~Engraver();

  void start();

  struct Drawing {
    std::string state;  ///< "waiting", "ready" or "failed"
    std::string key;
    std::string pages;  ///< a JSON list of SVG documents
    std::optional<Error> failure;
  };
  /// The drawing as far as it is there; one that is missing is put before all others.
  Drawing get(book::Id piece, const std::string& musicxml, bool narrow);
  /// "waiting" unless it is known to be ready or to have failed.
  std::string state(book::Id piece) const;
  void stop();

 private:
  struct Wanted {
    book::Id piece = 0;
    std::string key;
    std::string musicxml;
    bool narrow = false;
  };
  void work();
  void draw(const Wanted& wanted);
  void set_state(book::Id piece, const std::string& state);
  std::filesystem::path file(const std::string& key) const { return cache_ / (key + ".json"); }

  std::filesystem::path cache_;
  Draw draw_;
  Told told_;
  mutable std::mutex mutex_;
  std::condition_variable arrived_;
  std::deque<Wanted> waiting_;
  std::string drawing_;  ///< key of what is being drawn
  std::map<std::string, Error> failures_;
  std::map<book::Id, std::string> states_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace endpin::desk
