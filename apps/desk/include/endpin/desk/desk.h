#pragma once

#include <chrono>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "endpin/base/result.h"
#include "endpin/book/book.h"

namespace endpin::desk {

struct DeskOptions {
  std::filesystem::path book;
  std::string listen = "127.0.0.1";
  int port = 0;                                   ///< 0: any that is free
  std::filesystem::path web_root;                 ///< the built page; empty: the interface alone
  std::optional<std::filesystem::path> demo;      ///< copied into a book that is new
  int workers = 2;                                ///< hearings at a time; 0: none (for tests)
  bool draw_ahead = true;                         ///< engrave scores in the background
  std::chrono::milliseconds header_time{10'000};  ///< a client has for a request's header
  book::Clock clock = book::system_clock();
};

/// The web server with its book and its workers.
class Desk {
 public:
  /// Opens the book and the port. Errors (machine): the book is in use or damaged, the port is in
  /// use.
  static Result<std::unique_ptr<Desk>> open(const DeskOptions& options);
  virtual ~Desk() = default;

  virtual int port() const = 0;
  /// What to open in a browser: "http://127.0.0.1:8440/". On a network with its pass.
  virtual std::string address() const = 0;
  /// Other machines can reach it.
  virtual bool on_network() const = 0;
  virtual book::Book& book() = 0;

  /// Serves until `stop`. Requests under way get 2 s to end; hearings go back into the queue.
  virtual void serve() = 0;
  /// From any thread, and from a signal handler's thread; not from a signal handler.
  virtual void stop() = 0;
};

}  // namespace endpin::desk
