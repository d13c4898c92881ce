#include "router.h"

namespace endpin::desk {
namespace {

std::vector<std::string> split(const std::string& path) {
  std::vector<std::string> words;
  std::size_t from = 0;
  while (from < path.size()) {
    const std::size_t slash = path.find('/', from);
    const std::size_t to = slash == std::string::npos ? path.size() : slash;
    if (to > from) words.push_back(path.substr(from, to - from));
    from = to + 1;
  }
  return words;
}

bool is_open(const std::string& word) { return word.front() == '{'; }

// The words in braces, if the path fits.
bool fits(const std::vector<std::string>& pattern, const std::vector<std::string>& path,
          std::vector<std::string>& found) {
  if (pattern.size() != path.size()) return false;
  found.clear();
  for (std::size_t i = 0; i < path.size(); ++i) {
    if (is_open(pattern[i])) {
      found.push_back(path[i]);
    } else if (pattern[i] != path[i]) {
      return false;
    }
  }
  return true;
}

}  // namespace

void Router::add(const std::string& method, const std::string& pattern, Handler handler) {
  routes_.push_back({method, split(pattern), std::move(handler)});
}

Answer Router::answer(Call& call) const {
  const std::vector<std::string> path = split(call.path);
  const std::string method = call.method == "HEAD" ? "GET" : call.method;
  bool known_path = false;
  for (const Route& route : routes_) {
    if (!fits(route.words, path, call.words)) continue;
    known_path = true;
    if (route.method == method) return route.handler(call);
  }
  const bool in_api = !path.empty() && path.front() == "api";
  if (!known_path && !in_api && method == "GET" && fallback_) return fallback_(call);
  if (!known_path) return no_such("page");
  return refuse(405, Error{ErrorKind::usage, "", call.path, "does not take " + call.method,
                           "See the description of the interface."});
}

}  // namespace endpin::desk
