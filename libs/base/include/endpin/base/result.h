#pragma once

#include <cassert>
#include <type_traits>
#include <utility>
#include <variant>

#include "endpin/base/error.h"

namespace endpin {

/// Wraps an error on its way into a Result: `return Unexpected(Error{…});`
class Unexpected {
 public:
  explicit Unexpected(Error error) : error_(std::move(error)) {}
  Error& error() & { return error_; }
  const Error& error() const& { return error_; }
  Error&& error() && { return std::move(error_); }

 private:
  Error error_;
};

/// A value, or the one error that stood in its way. Member names are those of std::expected
/// (C++23), which g++ 12 lacks. Never throws by itself.
template <typename T>
class [[nodiscard]] Result {
 public:
  using value_type = T;

  Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}  // NOLINT
  Result(Unexpected failure)
      : state_(std::in_place_index<1>, std::move(failure).error()) {}  // NOLINT

  bool has_value() const { return state_.index() == 0; }
  explicit operator bool() const { return has_value(); }

  /// REQUIRES: has_value().
  T& value() & { return checked(), std::get<0>(state_); }
  const T& value() const& { return checked(), std::get<0>(state_); }
  T&& value() && { return checked(), std::get<0>(std::move(state_)); }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }

  template <typename U>
  T value_or(U&& fallback) const& {
    return has_value() ? value() : static_cast<T>(std::forward<U>(fallback));
  }

  /// REQUIRES: !has_value().
  const Error& error() const& { return assert(!has_value()), std::get<1>(state_); }
  Error&& error() && { return assert(!has_value()), std::get<1>(std::move(state_)); }

  /// `function(value)`, itself a Result, or the error handed on.
  template <typename F>
  auto and_then(F&& function) && -> std::invoke_result_t<F, T&&> {
    if (!has_value()) return Unexpected(std::move(*this).error());
    return std::forward<F>(function)(std::move(*this).value());
  }

  /// `function(value)` wrapped in a Result, or the error handed on.
  template <typename F>
  auto transform(F&& function) && -> Result<std::invoke_result_t<F, T&&>> {
    if (!has_value()) return Unexpected(std::move(*this).error());
    return std::forward<F>(function)(std::move(*this).value());
  }

 private:
  void checked() const { assert(has_value()); }
  std::variant<T, Error> state_;
};

/// Success without a value, or an error.
template <>
class [[nodiscard]] Result<void> {
 public:
  using value_type = void;

  Result() = default;
  Result(Unexpected failure) : error_(std::move(failure).error()), failed_(true) {}  // NOLINT

  bool has_value() const { return !failed_; }
  explicit operator bool() const { return has_value(); }
  /// REQUIRES: !has_value().
  const Error& error() const& { return assert(failed_), error_; }
  Error&& error() && { return assert(failed_), std::move(error_); }

 private:
  Error error_;
  bool failed_ = false;
};

}  // namespace endpin
