#include <array>
#include <cctype>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include <sys/socket.h>
#include <unistd.h>

#include "fields.h"
#include "guard.h"
#include "http_server.h"

namespace {

using namespace endpin::desk;

void must(bool holds) {
  if (!holds) std::abort();
}

/// The desk's edge without a book behind it: the guard, then the JSON of the body.
Answer answer(Guard& guard, Call& call) {
  if (auto refusal = guard.refusal(call)) return *refusal;
  std::string host = call.header("Host");
  for (char& c : host) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  must(is_loopback(host.substr(0, host.rfind(':'))));
  if (call.method == "GET" || call.method == "HEAD") return json_answer({{"path", call.path}});
  must(call.header("X-Endpin") == "1");
  std::string name;
  std::optional<endpin::book::Id> id;
  std::vector<endpin::book::Id> ids;
  Fields fields(call);
  fields.name("name", name).maybe_id("piece", id).ids("students", ids);
  return fields.problem() ? *fields.problem() : json_answer({{"name", name}});
}

std::string all_of(int socket) {
  std::string text;
  std::array<char, 4096> block;
  for (ssize_t got = 0; (got = ::recv(socket, block.data(), block.size(), MSG_DONTWAIT)) > 0;) {
    text.append(block.data(), static_cast<std::size_t>(got));
  }
  return text;
}

}  // namespace

// Bytes as a client sends them on one connection: each request is answered or the connection ends,
// and a change without the header, or under another name, never comes through.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static Guard guard("127.0.0.1", 80);
  static HttpServer server([](Call& call) { return answer(guard, call); });
  int ends[2];
  if (size > 60'000 || ::socketpair(AF_UNIX, SOCK_STREAM, 0, ends) != 0) return 0;
  if (::send(ends[0], data, size, MSG_NOSIGNAL) != static_cast<ssize_t>(size)) std::abort();
  ::shutdown(ends[0], SHUT_WR);
  server.answer_on(ends[1]);
  const std::string answers = all_of(ends[0]);
  ::close(ends[0]);
  must(answers.empty() || answers.starts_with("HTTP/1.1 "));
  return 0;
}
