#include <string>

#include <gtest/gtest.h>

#include "endpin/timeline/timeline.h"

namespace endpin {
namespace {

Timeline example() {
  Timeline t;
  t.title = "Étude";
  t.part = "Violoncello";
  t.instrument = "cello";
  t.tempo = TempoMap({{Beats(0), Bpm(72)}, {Beats(4), Bpm(84.5)}});
  t.tempo_is_given = true;
  t.fifths = 1;
  t.bars.push_back({"0", 0, 1, Beats(0), Beats(1), 3, 4});
  TimelineNote n;
  n.id = "n1";
  n.bar = "0";
  n.duration = Beats(2, 3);
  n.midi = 54;
  n.spelled = *SpelledPitch::parse("F#3");
  n.string = 2;
  n.finger = 3;
  n.slur_id = 0;
  n.articulation = Articulation::portato;
  t.notes.push_back(n);
  n.index = 1;
  n.onset = Beats(2, 3);
  n.string.reset();
  n.plucked = true;
  n.ornament = Ornament::trill;
  t.notes.push_back(n);
  return t;
}

TEST(TimelineJson, RoundTripsEveryMember) {
  const auto read = timeline_from_json(to_json(example()));
  ASSERT_TRUE(read) << read.error().line();
  EXPECT_EQ(*read, example());
}

TEST(TimelineJson, RefusesWhatOthersCouldNotRelyOn) {
  const std::string good = to_json(example());
  const auto replaced = [&](const std::string& from, const std::string& to) {
    std::string text = good;
    text.replace(text.find(from), from.size(), to);
    return timeline_from_json(text);
  };
  ASSERT_TRUE(timeline_from_json(good));
  EXPECT_FALSE(replaced("endpin.timeline/1", "endpin.timeline/9"));
  EXPECT_FALSE(replaced("\"duration_quarters\":\"2/3\"", "\"duration_quarters\":\"0\""));
  EXPECT_FALSE(replaced("\"index\":1", "\"index\":5"));
  EXPECT_FALSE(replaced("\"midi\":54", "\"midi\":540"));
  EXPECT_FALSE(replaced("\"quarter_bpm\":72.0", "\"quarter_bpm\":0"));
  // Found by fuzzing: a number that no int can hold.
  EXPECT_FALSE(replaced("\"written_index\":0", "\"written_index\":" + std::string(95, '5')));
  EXPECT_FALSE(replaced("\"written_index\":0", "\"written_index\":2147483648"));
  EXPECT_FALSE(timeline_from_json("{"));
  EXPECT_FALSE(timeline_from_json("[]"));
}

TEST(TimelineJson, PassesOverMembersItDoesNotKnow) {
  std::string text = to_json(example());
  text.insert(1, "\"tomorrow\":1,");
  EXPECT_TRUE(timeline_from_json(text));
}

}  // namespace
}  // namespace endpin
