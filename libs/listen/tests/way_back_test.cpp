#include "align/way_back.h"

#include <gtest/gtest.h>

namespace endpin::listen {
namespace {

std::vector<int> events_to(const WayBack& ways, int end) {
  std::vector<int> events;
  for (int i = end; i >= 0; i = ways[i].before) events.push_back(ways[i].event);
  return events;
}

TEST(WayBack, KeepsTheWaysThatAreAskedForAndForgetsTheOthers) {
  WayBack ways;
  const int root = ways.add({-1, 10, 0, -1, false, false});
  const int dead = ways.add({root, 11, 1, -1, false, false});
  ways.add({dead, 12, 2, -1, false, false});
  int left = ways.add({root, 13, 3, -1, true, false});
  int right = ways.add({left, 14, 4, -1, false, false});
  int nowhere = -1;
  ways.keep_ways_to({&left, &right, &nowhere});
  EXPECT_EQ(events_to(ways, left), (std::vector{13, 10}));
  EXPECT_EQ(events_to(ways, right), (std::vector{14, 13, 10}));
  EXPECT_EQ(nowhere, -1);
  EXPECT_TRUE(ways[left].skipped);
  EXPECT_EQ(ways.add({right, 15, 5, -1, false, false}), 3);  // two were forgotten
}

TEST(WayBack, IsNoLongerCrowdedOnceTheDeadAreForgotten) {
  WayBack ways;
  int end = -1;
  for (int i = 0; i < 60; ++i) end = ways.add({end, i, i, -1, false, false});
  while (!ways.is_crowded()) ways.add({end, 0, 0, -1, false, false});
  ways.keep_ways_to({&end});
  EXPECT_FALSE(ways.is_crowded());
  EXPECT_EQ(events_to(ways, end).size(), 60U);
}

}  // namespace
}  // namespace endpin::listen
