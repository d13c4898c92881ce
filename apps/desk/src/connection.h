#pragma once

#include <array>
#include <atomic>
#include <chrono>

#include <httplib.h>

#include "connection_limits.h"

namespace endpin::desk {

/// A socket as the HTTP library reads it, with time limits that trickling cannot stretch. It keeps
/// count of the body, because a body that a handler did not read must never be taken for the next
/// request: a foreign page could write one there.
class Connection : public httplib::Stream {
 public:
  Connection(socket_t socket, const ConnectionLimits& limits, const std::atomic<bool>& stopping);

  /// Waits for the first byte of a request; false: none came, or the desk stops.
  bool wait_for_request();
  /// The header has been read; `bytes` of body follow.
  void begin_body(std::int64_t bytes);
  /// Whether the next byte is the next request's first.
  bool body_was_read() const { return in_body_ && body_left_ == 0; }

  /// Takes in what is left of the body, within the limits of time.
  void discard_body();

  bool is_readable() const override;
  bool is_writable() const override;
  ssize_t read(char* data, std::size_t size) override;
  ssize_t write(const char* data, std::size_t size) override;
  void get_remote_ip_and_port(std::string& ip, int& port) const override;
  void get_local_ip_and_port(std::string& ip, int& port) const override;
  socket_t socket() const override { return socket_; }

 private:
  using Moment = std::chrono::steady_clock::time_point;
  bool fill();
  bool wait(short events, Moment until) const;
  Moment read_deadline() const;

  socket_t socket_;
  const ConnectionLimits& limits_;
  const std::atomic<bool>& stopping_;
  std::array<char, 16384> buffer_;
  std::size_t at_ = 0;
  std::size_t end_ = 0;
  Moment request_began_;
  std::size_t header_read_ = 0;
  bool in_body_ = false;
  std::int64_t body_left_ = 0;
  std::int64_t body_read_ = 0;
};

}  // namespace endpin::desk
