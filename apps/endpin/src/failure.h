#pragma once

#include <exception>
#include <utility>

#include "endpin/base/error.h"

namespace endpin::cli {

/// Carries a verb's error out through the option parser's callbacks to main, and nowhere else.
class Failure : public std::exception {
 public:
  explicit Failure(Error error) : error_(std::move(error)) {}
  const Error& error() const { return error_; }

 private:
  Error error_;
};

}  // namespace endpin::cli
