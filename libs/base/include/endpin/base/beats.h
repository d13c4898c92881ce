#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace endpin {

/// A place or a length in quarter notes, exact: a reduced fraction whose denominator is positive.
///
/// Sums of fractions that share small denominators never leave the range; readers bound what they
/// take in (`Beats::bounded`). Arithmetic that would leave it stops the program.
class Beats {
 public:
  constexpr Beats() = default;
  constexpr Beats(std::int64_t whole) : numerator_(whole) {}  // NOLINT: 2 quarters are 2
  /// REQUIRES: denominator != 0.
  Beats(std::int64_t numerator, std::int64_t denominator);

  /// The fraction if its reduced form has |numerator| and denominator at most `limit`.
  static std::optional<Beats> bounded(std::int64_t numerator, std::int64_t denominator,
                                      std::int64_t limit = 1'000'000'000);
  /// "3/2" or "3", as `text()` writes it.
  static std::optional<Beats> parse(std::string_view text);

  constexpr std::int64_t numerator() const { return numerator_; }
  constexpr std::int64_t denominator() const { return denominator_; }
  constexpr double to_double() const {
    return static_cast<double>(numerator_) / static_cast<double>(denominator_);
  }
  /// "3/2", or "3" for a whole number.
  std::string text() const;

  Beats operator-() const;
  Beats& operator+=(Beats other) { return *this = *this + other; }
  Beats& operator-=(Beats other) { return *this = *this - other; }
  friend Beats operator+(Beats a, Beats b);
  friend Beats operator-(Beats a, Beats b);
  friend Beats operator*(Beats a, Beats b);
  /// REQUIRES: b != 0.
  friend Beats operator/(Beats a, Beats b);
  friend bool operator==(const Beats&, const Beats&) = default;
  friend std::strong_ordering operator<=>(Beats a, Beats b);

 private:
  std::int64_t numerator_ = 0;
  std::int64_t denominator_ = 1;
};

}  // namespace endpin
