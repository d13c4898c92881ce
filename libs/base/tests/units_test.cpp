#include "endpin/base/units.h"

#include <concepts>

#include <gtest/gtest.h>

namespace endpin {
namespace {

using namespace literals;

template <typename A, typename B>
concept Addable = requires(A a, B b) {
  a + b;
};
template <typename A, typename B>
concept Multipliable = requires(A a, B b) {
  a* b;
};

// What must not compile.
static_assert(!Addable<Hertz, Hertz>);
static_assert(!Addable<Hertz, Cents>);
static_assert(!Addable<Seconds, Cents>);
static_assert(!Addable<Seconds, double>);
static_assert(!Multipliable<Seconds, Seconds>);
static_assert(!std::convertible_to<double, Hertz>);
static_assert(!std::convertible_to<double, Seconds>);
static_assert(Addable<Seconds, Seconds>);

TEST(Units, AnOctaveIsTwelveHundredCents) {
  EXPECT_DOUBLE_EQ(interval(220_Hz, 440_Hz).value(), 1200.0);
  EXPECT_NEAR(transpose(440_Hz, -1200_cents).value(), 220.0, 1e-9);
}

TEST(Units, AQuarterAtSixtyLastsASecond) { EXPECT_DOUBLE_EQ((60_bpm).per_quarter().value(), 1.0); }

}  // namespace
}  // namespace endpin
