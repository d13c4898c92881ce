#include "endpin/base/beats.h"

#include <charconv>
#include <cstdlib>
#include <limits>
#include <numeric>

namespace endpin {
namespace {

__extension__ using Wide = __int128;

Wide magnitude(Wide v) { return v < 0 ? -v : v; }

Wide common_divisor(Wide a, Wide b) {
  a = magnitude(a);
  b = magnitude(b);
  while (b != 0) {
    const Wide rest = a % b;
    a = b;
    b = rest;
  }
  return a == 0 ? 1 : a;
}

struct Fraction {
  Wide numerator;
  Wide denominator;
};

Fraction reduced(Wide numerator, Wide denominator) {
  const Wide divisor = common_divisor(numerator, denominator) * (denominator < 0 ? -1 : 1);
  return {numerator / divisor, denominator / divisor};
}

/// Both parts below 2^31, so that products and their sum stay in 64 bits: the case of all music.
bool small(std::int64_t numerator, std::int64_t denominator) {
  constexpr std::int64_t limit = std::int64_t{1} << 31;
  return numerator < limit && numerator > -limit && denominator < limit;
}

Beats narrowed(Fraction f) {
  constexpr Wide limit = std::numeric_limits<std::int64_t>::max();
  if (magnitude(f.numerator) > limit || f.denominator > limit) std::abort();
  return {static_cast<std::int64_t>(f.numerator), static_cast<std::int64_t>(f.denominator)};
}

}  // namespace

Beats::Beats(std::int64_t numerator, std::int64_t denominator) {
  if (denominator == 0) std::abort();
  if (denominator > 0 && numerator != std::numeric_limits<std::int64_t>::min()) {
    const std::int64_t divisor = std::gcd(numerator, denominator);
    numerator_ = numerator / divisor;
    denominator_ = denominator / divisor;
    return;
  }
  const Fraction f = reduced(numerator, denominator);
  numerator_ = static_cast<std::int64_t>(f.numerator);
  denominator_ = static_cast<std::int64_t>(f.denominator);
}

std::optional<Beats> Beats::bounded(std::int64_t numerator, std::int64_t denominator,
                                    std::int64_t limit) {
  if (denominator == 0) return std::nullopt;
  const Fraction f = reduced(numerator, denominator);
  if (magnitude(f.numerator) > limit || f.denominator > limit) return std::nullopt;
  return narrowed(f);
}

std::optional<Beats> Beats::parse(std::string_view text) {
  const auto whole = [](std::string_view part) -> std::optional<std::int64_t> {
    std::int64_t v = 0;
    const auto [end, error] = std::from_chars(part.data(), part.data() + part.size(), v);
    if (error != std::errc{} || end != part.data() + part.size()) return std::nullopt;
    return v;
  };
  const std::size_t slash = text.find('/');
  const auto numerator = whole(text.substr(0, slash));
  if (!numerator) return std::nullopt;
  if (slash == std::string_view::npos) return Beats(*numerator);
  const auto denominator = whole(text.substr(slash + 1));
  if (!denominator || *denominator == 0) return std::nullopt;
  return Beats(*numerator, *denominator);
}

std::string Beats::text() const {
  std::string written = std::to_string(numerator_);
  if (denominator_ != 1) written += "/" + std::to_string(denominator_);
  return written;
}

Beats Beats::operator-() const { return Beats(0) - *this; }

Beats operator+(Beats a, Beats b) {
  if (small(a.numerator_, a.denominator_) && small(b.numerator_, b.denominator_)) {
    if (a.denominator_ == b.denominator_) return {a.numerator_ + b.numerator_, a.denominator_};
    return {a.numerator_ * b.denominator_ + b.numerator_ * a.denominator_,
            a.denominator_ * b.denominator_};
  }
  return narrowed(reduced(Wide{a.numerator_} * b.denominator_ + Wide{b.numerator_} * a.denominator_,
                          Wide{a.denominator_} * b.denominator_));
}

Beats operator-(Beats a, Beats b) {
  if (small(a.numerator_, a.denominator_) && small(b.numerator_, b.denominator_)) {
    if (a.denominator_ == b.denominator_) return {a.numerator_ - b.numerator_, a.denominator_};
    return {a.numerator_ * b.denominator_ - b.numerator_ * a.denominator_,
            a.denominator_ * b.denominator_};
  }
  return narrowed(reduced(Wide{a.numerator_} * b.denominator_ - Wide{b.numerator_} * a.denominator_,
                          Wide{a.denominator_} * b.denominator_));
}

Beats operator*(Beats a, Beats b) {
  if (small(a.numerator_, a.denominator_) && small(b.numerator_, b.denominator_)) {
    return {a.numerator_ * b.numerator_, a.denominator_ * b.denominator_};
  }
  return narrowed(
      reduced(Wide{a.numerator_} * b.numerator_, Wide{a.denominator_} * b.denominator_));
}

Beats operator/(Beats a, Beats b) {
  if (b.numerator_ == 0) std::abort();
  return narrowed(
      reduced(Wide{a.numerator_} * b.denominator_, Wide{a.denominator_} * b.numerator_));
}

std::strong_ordering operator<=>(Beats a, Beats b) {
  if (a.denominator_ == b.denominator_) return a.numerator_ <=> b.numerator_;
  const Wide left = Wide{a.numerator_} * b.denominator_;
  const Wide right = Wide{b.numerator_} * a.denominator_;
  if (left < right) return std::strong_ordering::less;
  return left > right ? std::strong_ordering::greater : std::strong_ordering::equal;
}

}  // namespace endpin
