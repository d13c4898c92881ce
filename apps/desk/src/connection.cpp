#include "connection.h"

#include <algorithm>

#include <poll.h>
#include <sys/socket.h>

namespace endpin::desk {
namespace {

using std::chrono::milliseconds;
using std::chrono::steady_clock;

// How soon a waiting connection notices that the desk stops.
constexpr milliseconds glance{200};

void name_of(const sockaddr_storage& address, std::string& ip, int& port) {
  std::array<char, INET6_ADDRSTRLEN> text{};
  if (address.ss_family == AF_INET) {
    sockaddr_in v4;
    std::memcpy(&v4, &address, sizeof v4);
    inet_ntop(AF_INET, &v4.sin_addr, text.data(), text.size());
    port = ntohs(v4.sin_port);
  } else if (address.ss_family == AF_INET6) {
    sockaddr_in6 v6;
    std::memcpy(&v6, &address, sizeof v6);
    inet_ntop(AF_INET6, &v6.sin6_addr, text.data(), text.size());
    port = ntohs(v6.sin6_port);
  }
  ip = text.data();
}

}  // namespace

Connection::Connection(socket_t socket, const ConnectionLimits& limits,
                       const std::atomic<bool>& stopping)
    : socket_(socket), limits_(limits), stopping_(stopping), request_began_(steady_clock::now()) {}

bool Connection::wait(short events, Moment until) const {
  Moment stop_at = Moment::max();
  while (true) {
    const Moment now = steady_clock::now();
    if (stopping_ && stop_at == Moment::max()) stop_at = now + limits_.farewell;
    if (now >= std::min(until, stop_at)) return false;
    const auto left = std::chrono::ceil<milliseconds>(std::min(until, stop_at) - now);
    pollfd poller{socket_, events, 0};
    const int ready = ::poll(&poller, 1, static_cast<int>(std::min(left, glance).count()));
    if (ready > 0) return true;
    if (ready < 0 && errno != EINTR) return false;
  }
}

bool Connection::wait_for_request() {
  in_body_ = false;
  header_read_ = 0;
  const Moment until = steady_clock::now() + limits_.idle;
  while (at_ == end_) {
    if (stopping_) return false;
    const Moment now = steady_clock::now();
    if (now >= until) return false;
    if (wait(POLLIN, std::min(until, now + glance))) break;
  }
  request_began_ = steady_clock::now();
  return true;
}

void Connection::begin_body(std::int64_t bytes) {
  in_body_ = true;
  body_left_ = bytes;
  body_read_ = 0;
  request_began_ = steady_clock::now();
}

Connection::Moment Connection::read_deadline() const {
  if (!in_body_) return request_began_ + limits_.header_time;
  const double earned = static_cast<double>(body_read_) / limits_.least_bytes_per_second;
  const auto by_rate = request_began_ + std::chrono::seconds(30) +
                       std::chrono::seconds(static_cast<long>(std::min(earned, 1e8)));
  return std::min(steady_clock::now() + limits_.silence, Moment(by_rate));
}

bool Connection::fill() {
  if (!wait(POLLIN, read_deadline())) return false;
  const ssize_t got = ::recv(socket_, buffer_.data(), buffer_.size(), 0);
  if (got <= 0) return false;
  at_ = 0;
  end_ = static_cast<std::size_t>(got);
  return true;
}

ssize_t Connection::read(char* data, std::size_t size) {
  if (in_body_) {
    if (body_left_ <= 0) return 0;
    size = std::min(size, static_cast<std::size_t>(body_left_));
  } else if (header_read_ >= limits_.header_bytes || steady_clock::now() > read_deadline()) {
    return -1;
  }
  if (at_ == end_ && !fill()) return -1;
  const std::size_t taken = std::min(size, end_ - at_);
  std::memcpy(data, buffer_.data() + at_, taken);
  at_ += taken;
  if (in_body_) {
    body_left_ -= static_cast<std::int64_t>(taken);
    body_read_ += static_cast<std::int64_t>(taken);
  } else {
    header_read_ += taken;
  }
  return static_cast<ssize_t>(taken);
}

ssize_t Connection::write(const char* data, std::size_t size) {
  std::size_t sent = 0;
  while (sent < size) {
    if (!wait(POLLOUT, steady_clock::now() + limits_.silence)) return -1;
    const ssize_t now = ::send(socket_, data + sent, size - sent, MSG_NOSIGNAL | MSG_DONTWAIT);
    if (now < 0 && (errno == EAGAIN || errno == EINTR)) continue;
    if (now <= 0) return -1;
    sent += static_cast<std::size_t>(now);
  }
  return static_cast<ssize_t>(size);
}

void Connection::discard_body() {
  std::array<char, 4096> nowhere;
  while (body_left_ > 0 && read(nowhere.data(), nowhere.size()) > 0) {
  }
}

bool Connection::is_readable() const { return at_ < end_ || wait(POLLIN, steady_clock::now()); }

bool Connection::is_writable() const {
  pollfd poller{socket_, POLLOUT, 0};
  return ::poll(&poller, 1, 0) > 0 && (poller.revents & (POLLERR | POLLHUP)) == 0;
}

void Connection::get_remote_ip_and_port(std::string& ip, int& port) const {
  sockaddr_storage address{};
  socklen_t size = sizeof address;
  if (getpeername(socket_, reinterpret_cast<sockaddr*>(&address), &size) == 0) {
    name_of(address, ip, port);
  }
}

void Connection::get_local_ip_and_port(std::string& ip, int& port) const {
  sockaddr_storage address{};
  socklen_t size = sizeof address;
  if (getsockname(socket_, reinterpret_cast<sockaddr*>(&address), &size) == 0) {
    name_of(address, ip, port);
  }
}

}  // namespace endpin::desk
