#include "endpin/technique/bowing.h"

#include <functional>
#include <limits>
#include <random>

#include <gtest/gtest.h>

namespace endpin {
namespace {

// `lengths` in quarters, bars of four; a negative length is a rest.
std::vector<StrokePlace> strokes(const std::vector<Beats>& lengths, Beats pickup = Beats(0)) {
  std::vector<StrokePlace> result;
  Beats at;
  Beats rest;
  for (const Beats length : lengths) {
    if (length < Beats(0)) {
      rest += -length;
      at += -length;
      continue;
    }
    StrokePlace s;
    s.onset = at;
    s.duration = length;
    s.seconds = Seconds(length.to_double() * 0.75);
    s.rest_before = Seconds(rest.to_double() * 0.75);
    const Beats in_bars = (at - pickup) / Beats(4);
    s.downbeat = at >= pickup && in_bars.denominator() == 1;
    s.pickup = at < pickup && at + length == pickup;
    s.section_start = result.empty();
    result.push_back(s);
    at += length;
    rest = Beats(0);
  }
  return result;
}

std::string directions(const Bowing& bowing) {
  std::string text;
  for (const BowedStroke& s : bowing.strokes) text += s.bow == Bow::down ? 'd' : 'u';
  return text;
}

// A bar's strong first beat goes down, a pickup goes up (practice; Muffat 1698).
TEST(Bowing, GoesDownOnTheFirstBeatAndUpOnThePickup) {
  EXPECT_EQ(directions(bow(strokes({1, 1, 1, 1, 4}))), "dudud");
  EXPECT_EQ(directions(bow(strokes({1, 1, 1, 1, 1, 4}, Beats(1)))), "ududud");
}

// As it comes: separate strokes alternate, whatever the printed marks leave open (practice).
TEST(Bowing, AlternatesAsItComes) {
  auto list = strokes({1, 1, 1, 1, 1, 1, 1, 1});
  list[0].fixed = Bow::up;
  EXPECT_EQ(directions(bow(list)), "udududud");
}

// An even number of strokes in a bar keeps the down-bow on the next downbeat, an odd one flips it
// (practice, calculated); without a rest there is no free time for a retake (practice).
TEST(Bowing, AnOddBarFlipsTheNext) {
  EXPECT_EQ(directions(bow(strokes({2, 1, 1, 1, 1, 2}))), "dududu");
  EXPECT_EQ(directions(bow(strokes({2, 2, 1, 1, 1, 1}))), "dududu");
}

// A rest leaves time for a retake (practice).
TEST(Bowing, RetakesOverARest) {
  const Bowing result = bow(strokes({1, 1, 1, -1, 1, 1, 1, 1}));
  EXPECT_EQ(directions(result), "duddudu");
  EXPECT_EQ(result.strokes[3].link, StrokeLink::retake);
}

// Repeated long–short: hook the short note into the same direction (practice).
TEST(Bowing, HooksDottedRhythms) {
  const Beats l(3, 2);
  const Beats s(1, 2);
  const Bowing result = bow(strokes({l, s, 2, l, s, 2, l, s, 2}));
  for (std::size_t bar = 0; bar < 3; ++bar) EXPECT_EQ(result.strokes[3 * bar].bow, Bow::down);
  EXPECT_EQ(result.strokes[1].link, StrokeLink::hook);
}

TEST(Bowing, FixedDirectionsAlwaysHold) {
  std::mt19937 random(3);
  for (int round = 0; round < 50; ++round) {
    auto list = strokes({1, 2, 1, 1, 1, 2, 1, Beats(3, 2), Beats(1, 2), 1});
    for (StrokePlace& s : list) {
      if (random() % 3 == 0) s.fixed = random() % 2 == 0 ? Bow::down : Bow::up;
    }
    const Bowing result = bow(list);
    for (std::size_t i = 0; i < list.size(); ++i) {
      EXPECT_EQ(result.strokes[i].bow, list[i].fixed.value_or(result.strokes[i].bow));
    }
  }
}

TEST(Bowing, AlternatesExceptAtDeclaredEvents) {
  std::mt19937 random(5);
  for (int round = 0; round < 50; ++round) {
    std::vector<Beats> lengths;
    for (int i = 0; i < 20; ++i) {
      lengths.push_back(Beats(1 + static_cast<int>(random() % 4), 2));
      if (random() % 5 == 0) lengths.push_back(Beats(-1));
    }
    const Bowing result = bow(strokes(lengths));
    for (std::size_t i = 1; i < result.strokes.size(); ++i) {
      const bool same = result.strokes[i].bow == result.strokes[i - 1].bow;
      EXPECT_EQ(same, result.strokes[i].link != StrokeLink::alternate);
    }
  }
}

TEST(Bowing, IsTheCheapestOfAll) {
  std::mt19937 random(11);
  for (int round = 0; round < 30; ++round) {
    std::vector<Beats> lengths;
    for (int i = 0; i < 6; ++i) {
      lengths.push_back(Beats(1 + static_cast<int>(random() % 4), 2));
      if (random() % 4 == 0) lengths.push_back(Beats(-1, 2));
    }
    const auto list = strokes(lengths);
    double cheapest = std::numeric_limits<double>::infinity();
    std::vector<BowedStroke> path;
    const std::function<void()> extend = [&] {
      if (path.size() == list.size()) {
        cheapest = std::min(cheapest, bowing_cost(list, {}, path).value_or(1e9));
        return;
      }
      for (const Bow b : {Bow::down, Bow::up}) {
        for (const StrokeLink link :
             {StrokeLink::alternate, StrokeLink::retake, StrokeLink::hook}) {
          path.push_back({b, path.empty() ? StrokeLink::first : link});
          extend();
          path.pop_back();
        }
      }
    };
    extend();
    const Bowing found = bow(list);
    EXPECT_NEAR(found.cost, cheapest, 1e-9);
    EXPECT_NEAR(*bowing_cost(list, {}, found.strokes), found.cost, 1e-9);
  }
}

// A half note takes the whole bow, a quarter half of it, an eighth a quarter (practice).
TEST(BowPlan, SharesTheBowByDuration) {
  const auto list = strokes({2, 2, 1, 1, Beats(1, 2), Beats(1, 2)});
  const auto plan = bow_plan(list, bow(list).strokes);
  const double shares[] = {1, 1, 0.5, 0.5, 0.25, 0.25};
  for (std::size_t i = 0; i < list.size(); ++i) {
    EXPECT_NEAR(std::abs(plan[i].end - plan[i].start), shares[i], 1e-9);
  }
}

}  // namespace
}  // namespace endpin
