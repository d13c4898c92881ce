#pragma once

#include <functional>
#include <string>
#include <vector>

#include "call.h"

namespace endpin::desk {

using Handler = std::function<Answer(const Call&)>;

/// Finds the handler of a method and a path. Fixed once the server runs, so needs no lock.
class Router {
 public:
  /// `pattern` is a path whose words in braces stand for any one word: "/api/takes/{id}/audio". Of
  /// two that fit, the one added first is taken.
  void add(const std::string& method, const std::string& pattern, Handler handler);
  /// Everything GET that no pattern fits and that is not below /api.
  void set_fallback(Handler handler) { fallback_ = std::move(handler); }

  /// 404 or 405 where nothing fits.
  Answer answer(Call& call) const;

 private:
  struct Route {
    std::string method;
    std::vector<std::string> words;
    Handler handler;
  };
  std::vector<Route> routes_;
  Handler fallback_;
};

}  // namespace endpin::desk
