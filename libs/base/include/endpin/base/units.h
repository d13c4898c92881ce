#pragma once

#include <cmath>
#include <compare>

namespace endpin {

/// A double with a unit. Sums and differences stay in the unit, a scale factor is a plain double,
/// the ratio of two is a plain double; a product of two does not exist. Never made implicitly.
template <typename Tag>
class Quantity {
 public:
  constexpr Quantity() = default;
  constexpr explicit Quantity(double value) : value_(value) {}

  constexpr double value() const { return value_; }
  constexpr auto operator<=>(const Quantity&) const = default;

  constexpr Quantity operator-() const { return Quantity(-value_); }
  constexpr Quantity& operator+=(Quantity other) { return value_ += other.value_, *this; }
  constexpr Quantity& operator-=(Quantity other) { return value_ -= other.value_, *this; }
  friend constexpr Quantity operator+(Quantity a, Quantity b) {
    return Quantity(a.value_ + b.value_);
  }
  friend constexpr Quantity operator-(Quantity a, Quantity b) {
    return Quantity(a.value_ - b.value_);
  }
  friend constexpr Quantity operator*(Quantity a, double k) { return Quantity(a.value_ * k); }
  friend constexpr Quantity operator*(double k, Quantity a) { return Quantity(a.value_ * k); }
  friend constexpr Quantity operator/(Quantity a, double k) { return Quantity(a.value_ / k); }
  friend constexpr double operator/(Quantity a, Quantity b) { return a.value_ / b.value_; }

 private:
  double value_ = 0;
};

/// Frequency. Two of them cannot be added: a sum of frequencies is no musical thing.
class Hertz {
 public:
  constexpr Hertz() = default;
  constexpr explicit Hertz(double value) : value_(value) {}
  constexpr double value() const { return value_; }
  constexpr auto operator<=>(const Hertz&) const = default;
  friend constexpr Hertz operator*(Hertz f, double k) { return Hertz(f.value_ * k); }
  friend constexpr double operator/(Hertz a, Hertz b) { return a.value_ / b.value_; }

 private:
  double value_ = 0;
};

struct CentsTag;
struct SecondsTag;
struct DecibelsTag;
using Cents = Quantity<CentsTag>;      ///< 1/1200 octave
using Seconds = Quantity<SecondsTag>;  ///< a time or a length of time
using Decibels = Quantity<DecibelsTag>;

/// Tempo as quarter notes a minute, whatever the beat unit; a Metronome mark says the unit.
class Bpm {
 public:
  constexpr Bpm() = default;
  constexpr explicit Bpm(double quarters_per_minute) : value_(quarters_per_minute) {}
  constexpr double value() const { return value_; }
  constexpr Seconds per_quarter() const { return Seconds(60.0 / value_); }
  constexpr auto operator<=>(const Bpm&) const = default;
  friend constexpr Bpm operator*(Bpm b, double k) { return Bpm(b.value_ * k); }

 private:
  double value_ = 0;
};

/// From `reference` up to `f`. REQUIRES: both above 0.
inline Cents interval(Hertz reference, Hertz f) { return Cents(1200.0 * std::log2(f / reference)); }
/// `f` moved by `by`.
inline Hertz transpose(Hertz f, Cents by) { return f * std::exp2(by.value() / 1200.0); }

inline constexpr Hertz standard_a4{440.0};  ///< ISO 16:1975

namespace literals {
constexpr Hertz operator""_Hz(long double v) { return Hertz(static_cast<double>(v)); }
constexpr Hertz operator""_Hz(unsigned long long v) { return Hertz(static_cast<double>(v)); }
constexpr Seconds operator""_s(long double v) { return Seconds(static_cast<double>(v)); }
constexpr Seconds operator""_s(unsigned long long v) { return Seconds(static_cast<double>(v)); }
constexpr Cents operator""_cents(long double v) { return Cents(static_cast<double>(v)); }
constexpr Cents operator""_cents(unsigned long long v) { return Cents(static_cast<double>(v)); }
constexpr Bpm operator""_bpm(long double v) { return Bpm(static_cast<double>(v)); }
constexpr Bpm operator""_bpm(unsigned long long v) { return Bpm(static_cast<double>(v)); }
}  // namespace literals

}  // namespace endpin
