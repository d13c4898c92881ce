#include "align/score_model.h"

#include <gtest/gtest.h>

#include "played.h"

namespace endpin::listen {
namespace {

ScoreModel model_of(const Timeline& t, const HearOptions& options = {}) {
  return score_model(std::span(&t, 1), options);
}

std::vector<int> open_notes(const Timeline& t, const char* from, const char* to) {
  HearOptions options;
  options.bars = BarRange{from, to};
  std::vector<int> open;
  for (const Event& e : model_of(t, options).events) {
    if (e.open_to_play) open.push_back(e.notes.front());
  }
  return open;
}

void number(std::vector<TimelineNote>& notes) {
  for (std::size_t i = 0; i < notes.size(); ++i) notes[i].index = static_cast<int>(i);
}

// Five bars of four quarters; the second is a rest, the fourth a tie from the third.
Tune with_empty_bars() {
  Tune tune({60, 62, 64, 65, 67, 69, 71, 72, 60, 62, 64, 65, 67, 69, 71, 72, 60, 62, 64, 65});
  auto& notes = tune.timeline.notes;
  std::erase_if(notes, [](const TimelineNote& n) { return n.bar == "2" || n.bar == "4"; });
  notes[7].duration = Beats(5);
  number(notes);
  return tune;
}

TEST(ScoreModel, BarsInWhichNoNoteBeginsBeginAndEndARange) {
  const Timeline t = with_empty_bars().timeline;
  EXPECT_EQ(open_notes(t, "2", "3"), (std::vector{4, 5, 6, 7}));
  EXPECT_EQ(open_notes(t, "1", "2"), (std::vector{0, 1, 2, 3}));
  EXPECT_EQ(open_notes(t, "3", "4"), (std::vector{4, 5, 6, 7}));
  EXPECT_EQ(open_notes(t, "5", "5"), (std::vector{8, 9, 10, 11}));
  EXPECT_EQ(open_notes(t, "2", "2"), std::vector<int>{});
}

TEST(ScoreModel, ARangeIsOpenInEveryPass) {
  Tune tune({60, 62, 64, 65, 67, 69, 71, 72, 60, 62, 64, 65, 67, 69, 71, 72});
  auto& bars = tune.timeline.bars;
  bars[2].number = "1", bars[2].written_index = 0, bars[3].number = "2", bars[3].written_index = 1;
  EXPECT_EQ(open_notes(tune.timeline, "2", "2"), (std::vector{4, 5, 6, 7, 12, 13, 14, 15}));
}

// A pedal beneath ten bars of quarters.
TEST(ScoreModel, ANoteIsHeldHoweverManyBeginMeanwhile) {
  Tune tune(std::vector<int>(48, 72));
  TimelineNote pedal = tune.timeline.notes[0];
  pedal.midi = 48, pedal.duration = Beats(40);
  tune.timeline.notes.insert(tune.timeline.notes.begin(), pedal);
  number(tune.timeline.notes);
  const auto events = model_of(tune.timeline).events;
  ASSERT_EQ(events.size(), 48U);
  EXPECT_EQ(events[0].held, std::vector<int>{});
  EXPECT_EQ(events[1].held, std::vector{48});
  EXPECT_EQ(events[39].held, std::vector{48});
  EXPECT_EQ(events[40].held, std::vector<int>{});
}

}  // namespace
}  // namespace endpin::listen
