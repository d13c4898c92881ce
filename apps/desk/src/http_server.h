#pragma once

#include <atomic>
#include <functional>
#include <memory>
#include <mutex>
#include <string>

#include "call.h"
#include "connection_limits.h"

namespace endpin::desk {

/// HTTP/1.1 over TCP: turns requests into Calls and Answers into responses, and nothing else.
class HttpServer {
 public:
  /// `answer` is called from many threads.
  using Answerer = std::function<Answer(Call&)>;
  HttpServer(Answerer answer, const ConnectionLimits& limits = {});
  ~HttpServer();

  /// Takes the port (0: a free one) and says which. Errors (machine): it is in use.
  Result<int> bind(const std::string& host, int port);
  /// Until `stop`.
  void serve();
  void stop();
  /// Answers what comes on one connected socket until it ends, and closes it. In the caller's
  /// thread.
  void answer_on(int socket);
  bool stopping() const;

 private:
  class Library;
  std::unique_ptr<Library> library_;
  std::mutex mutex_;
  std::atomic<bool> serving_{false};
};

}  // namespace endpin::desk
