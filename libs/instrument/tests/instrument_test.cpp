#include "endpin/instrument/instrument.h"

#include <gtest/gtest.h>

namespace endpin {
namespace {

// Open strings and their frequencies at A4 = 440 Hz (common practice; calculated).
TEST(Instrument, HasItsOpenStrings) {
  struct Row {
    InstrumentKind kind;
    double hertz[4];  // highest string first
  };
  const Row table[] = {{InstrumentKind::violin, {659.26, 440.00, 293.66, 196.00}},
                       {InstrumentKind::viola, {440.00, 293.66, 196.00, 130.81}},
                       {InstrumentKind::cello, {220.00, 146.83, 98.00, 65.41}},
                       {InstrumentKind::bass, {98.00, 73.42, 55.00, 41.20}}};
  for (const Row& row : table) {
    for (int string = 1; string <= 4; ++string) {
      EXPECT_NEAR(frequency(instrument(row.kind).open(string)).value(), row.hertz[string - 1],
                  0.006);
    }
  }
}

// d = L (1 - 2^(-n/12)) for L = 69 and 70 cm (calculated).
TEST(Instrument, MeasuresFromTheNut) {
  const double at_69[] = {38.7, 75.3, 109.8, 142.3, 173.1, 202.1, 229.5};
  const double at_70[] = {39.3, 76.4, 111.4, 144.4, 175.6, 205.0, 232.8};
  for (int n = 1; n <= 7; ++n) {
    EXPECT_NEAR(nut_to_finger_mm(690, n), at_69[n - 1], 0.06);
    EXPECT_NEAR(nut_to_finger_mm(700, n), at_70[n - 1], 0.06);
  }
  EXPECT_NEAR(nut_to_finger_mm(690, 12), 345, 1e-9);
}

// Positions of the cello (calculated from the notes under the hand; names by common practice).
TEST(Instrument, NamesTheCellosPositions) {
  const std::pair<int, const char*> table[] = {
      {1, "position.half"},         {2, "position.first"}, {3, "position.lower-second"},
      {4, "position.upper-second"}, {5, "position.third"}, {6, "position.upper-third"},
      {7, "position.fourth"}};
  for (const auto& [first, key] : table) {
    EXPECT_EQ(position_at(instrument(InstrumentKind::cello), first).key, key);
  }
}

// First-finger places of the double bass's positions (memory).
TEST(Instrument, NamesTheBasssPositions) {
  const std::pair<int, const char*> table[] = {
      {1, "position.half"},        {2, "position.first"},       {3, "position.second"},
      {4, "position.second-half"}, {5, "position.third"},       {6, "position.third-half"},
      {7, "position.fourth"},      {8, "position.fifth"},       {9, "position.fifth-half"},
      {10, "position.sixth"},      {11, "position.sixth-half"}, {12, "position.seventh"}};
  for (const auto& [first, key] : table) {
    EXPECT_EQ(position_at(instrument(InstrumentKind::bass), first).key, key);
  }
}

TEST(Instrument, IsFoundByItsNames) {
  EXPECT_EQ(find_instrument("Violoncello")->kind, InstrumentKind::cello);
  EXPECT_EQ(find_instrument("double bass")->kind, InstrumentKind::bass);
  EXPECT_EQ(find_instrument("kazoo"), nullptr);
}

TEST(Instrument, HasAReachForEveryStep) {
  const char* steps[] = {"open-strings",    "first-position", "slurs",           "extensions",
                         "lower-positions", "neck-positions", "upper-positions", "thumb"};
  for (const InstrumentKind kind : all_instruments) {
    for (const char* step : steps) EXPECT_EQ(reach(instrument(kind), step).step, step);
  }
}

}  // namespace
}  // namespace endpin
