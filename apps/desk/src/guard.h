#pragma once

#include <chrono>
#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <set>
#include <string>

#include "call.h"

namespace endpin::desk {

/// Decides who may speak to the desk: the name it is called by (against DNS rebinding), where a
/// change comes from (against foreign pages), and on a network the pass. Thread-safe.
class Guard {
 public:
  using Moment = std::chrono::steady_clock::time_point;
  using Clock = std::function<Moment()>;

  /// `host`: what the desk listens on. A pass is asked for unless that is loopback.
  Guard(std::string host, int port, Clock now = std::chrono::steady_clock::now);

  /// The refusal, if there is one.
  std::optional<Answer> refusal(const Call& call);

  bool network() const { return network_; }
  /// "/pass/…": opening it once lets a browser in. Empty on loopback.
  std::string pass_path() const;
  /// A new pass; browsers that came in by the old one are turned away.
  void withdraw();

 private:
  std::optional<Answer> refuse_host(const Call& call) const;
  std::optional<Answer> refuse_origin(const Call& call) const;
  std::optional<Answer> ask_for_pass(const Call& call);
  Answer let_in();
  bool too_many_failures(const std::string& remote);
  void count_failure(const std::string& remote);
  bool own_name(std::string_view name_and_port) const;

  Clock now_;
  std::string host_;
  std::string port_;
  bool network_;
  mutable std::mutex mutex_;
  std::string pass_;
  Moment pass_made_;
  std::map<std::string, Moment> sessions_;  ///< secret → when it ends
  struct Failures {
    int count = 0;
    Moment since;
  };
  std::map<std::string, Failures> failures_;  ///< by address
};

/// 127.0.0.0/8, ::1, localhost.
bool is_loopback(std::string_view host);

}  // namespace endpin::desk
