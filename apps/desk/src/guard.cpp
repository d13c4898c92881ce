#include "guard.h"

#include <algorithm>
#include <cctype>

#include <openssl/crypto.h>

#include "endpin/book/upload.h"

namespace endpin::desk {
namespace {

// Chosen by us: a school day for a pass and what came in by it, ten wrong passes in ten minutes.
constexpr auto pass_lasts = std::chrono::hours(12);
constexpr auto failures_are_kept = std::chrono::minutes(10);
constexpr int most_failures = 10;
constexpr std::size_t most_sessions = 256;

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return out;
}

// Takes as long whether the first or the last character differs.
bool same_secret(const std::string& a, const std::string& b) {
  return a.size() == b.size() && CRYPTO_memcmp(a.data(), b.data(), a.size()) == 0;
}

std::string cookie(const std::string& header, const std::string& name) {
  std::size_t at = 0;
  while (at < header.size()) {
    const std::size_t end = std::min(header.find(';', at), header.size());
    std::string_view pair(header.data() + at, end - at);
    while (!pair.empty() && pair.front() == ' ') pair.remove_prefix(1);
    if (pair.substr(0, name.size() + 1) == name + "=") {
      return std::string(pair.substr(name.size() + 1));
    }
    at = end + 1;
  }
  return {};
}

bool changes_something(const std::string& method) { return method != "GET" && method != "HEAD"; }

bool is_address(std::string_view name) {
  return !name.empty() &&
         (name.front() == '[' || name.find_first_not_of("0123456789.") == std::string_view::npos);
}

Answer forbidden(const std::string& what, const std::string& remedy) {
  return refuse(403, Error{ErrorKind::usage, "", "", what, remedy});
}

}  // namespace

bool is_loopback(std::string_view host) {
  return host == "localhost" || host == "::1" || host == "[::1]" ||
         (host.substr(0, 4) == "127." && is_address(host));
}

Guard::Guard(std::string host, int port, Clock now)
    : now_(std::move(now)),
      host_(lower(host)),
      port_(std::to_string(port)),
      network_(!is_loopback(host_)),
      pass_(book::random_hex(16)),
      pass_made_(now_()) {}

std::optional<Answer> Guard::refusal(const Call& call) {
  if (auto no = refuse_host(call)) return no;
  if (auto no = refuse_origin(call)) return no;
  if (!network_) return std::nullopt;
  return ask_for_pass(call);
}

// A page of another site can point its own name at this machine, but then it calls the desk by that
// name. On a network any plain address is one of the desk's own, since names cannot be rebound to
// it.
bool Guard::own_name(std::string_view name_and_port) const {
  const std::string given = lower(name_and_port);
  const std::size_t colon = given.rfind(':');
  if (colon == std::string::npos || given.substr(colon + 1) != port_) return false;
  const std::string name = given.substr(0, colon);
  if (is_loopback(name)) return true;
  return network_ && (is_address(name) || name == host_);
}

std::optional<Answer> Guard::refuse_host(const Call& call) const {
  if (own_name(call.header("Host"))) return std::nullopt;
  return forbidden("the desk is not called by that name",
                   "Open the address that the desk printed when it started.");
}

std::optional<Answer> Guard::refuse_origin(const Call& call) const {
  const std::string origin = call.header("Origin");
  const std::string site = call.header("Sec-Fetch-Site");
  const bool foreign =
      (!origin.empty() && !(origin.rfind("http://", 0) == 0 &&
                            lower(origin.substr(7)) == lower(call.header("Host")))) ||
      site == "cross-site" || site == "same-site";
  const bool own_page = call.path.rfind("/api", 0) != 0 && !changes_something(call.method);
  if (foreign && !own_page) {
    return forbidden("the request comes from another site's page",
                     "Only the desk's own page may use it.");
  }
  if (changes_something(call.method) && call.header("X-Endpin") != "1") {
    return forbidden("the header X-Endpin is missing", "Send X-Endpin: 1 with every change.");
  }
  return std::nullopt;
}

std::string Guard::pass_path() const {
  const std::lock_guard lock(mutex_);
  return network_ ? "/pass/" + pass_ : "";
}

void Guard::withdraw() {
  const std::lock_guard lock(mutex_);
  pass_ = book::random_hex(16);
  pass_made_ = now_();
  sessions_.clear();
}

std::optional<Answer> Guard::ask_for_pass(const Call& call) {
  const std::lock_guard lock(mutex_);
  const Moment now = now_();
  const auto session = sessions_.find(cookie(call.header("Cookie"), "endpin"));
  if (session != sessions_.end() && now < session->second) return std::nullopt;
  if (too_many_failures(call.remote)) {
    return refuse(429, Error{ErrorKind::usage, "", "", "too many wrong passes",
                             "Wait ten minutes, then open the link that the desk printed."});
  }
  const std::string start = "/pass/";
  if (call.path.rfind(start, 0) == 0) {
    const bool fresh = now < pass_made_ + pass_lasts;
    if (fresh && same_secret(call.path.substr(start.size()), pass_)) return let_in();
    count_failure(call.remote);
  }
  return refuse(401, Error{ErrorKind::usage, "", "", "the desk asks for its pass",
                           "Open the whole link that the desk printed when it started."});
}

// The cookie goes to no other site's requests and cannot be read by a script.
Answer Guard::let_in() {
  const Moment now = now_();
  for (auto at = sessions_.begin(); at != sessions_.end();) {
    at = at->second <= now ? sessions_.erase(at) : std::next(at);
  }
  if (sessions_.size() >= most_sessions) sessions_.erase(sessions_.begin());
  const std::string secret = book::random_hex(16);
  sessions_[secret] = now + pass_lasts;
  Answer answer = no_content();
  answer.status = 303;
  answer.with("Location", "/")
      .with("Set-Cookie",
            "endpin=" + secret + "; Path=/; HttpOnly; SameSite=Strict; Max-Age=43200");
  return answer;
}

bool Guard::too_many_failures(const std::string& remote) {
  const auto found = failures_.find(remote);
  if (found == failures_.end()) return false;
  if (now_() > found->second.since + failures_are_kept) {
    failures_.erase(found);
    return false;
  }
  return found->second.count >= most_failures;
}

void Guard::count_failure(const std::string& remote) {
  if (failures_.size() > 1000) failures_.clear();
  Failures& failures = failures_[remote];
  if (failures.count++ == 0) failures.since = now_();
}

}  // namespace endpin::desk
