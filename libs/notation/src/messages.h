#pragma once

#include <string>
#include <utility>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/score/score.h"

namespace endpin::notation {

/// Gathers what a reader has to say. Warnings beyond `most` are only counted.
class Messages {
 public:
  static constexpr std::size_t most = 200;

  explicit Messages(std::string file) : file_(std::move(file)) {}

  void warn(std::string place, std::string what, std::string remedy);
  void warn(int line, std::string what, std::string remedy) {
    warn(line > 0 ? std::to_string(line) : std::string(), std::move(what), std::move(remedy));
  }
  Unexpected error(int line, std::string what, std::string remedy) const {
    return Unexpected(Error{ErrorKind::input, file_,
                            line > 0 ? std::to_string(line) : std::string(), std::move(what),
                            std::move(remedy)});
  }
  /// What was said so far, with a last line for what was only counted.
  std::vector<Warning> take();

 private:
  std::string file_;
  std::vector<Warning> warnings_;
  std::size_t untold_ = 0;
};

}  // namespace endpin::notation
