#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "endpin/technique/fingering.h"

namespace endpin {
namespace {

/// A passage of our own and the hand that violinists give it (common practice, from memory). A note
/// is "F#5:A3": pitch, string, finger; '(' and ')' stand around the notes of a slur.
struct HandOfPlayers {
  const char* name;
  double seconds;  ///< a note
  const char* notes;
};

const HandOfPlayers passages[] = {
    {"a singing phrase lies in third position, without open strings", 1.0,
     "F#5:A3 D5:A1 A4:D2 ( B4:D3 C#5:D4 ) D5:A1 E5:A2 F#5:A3"},
    {"a slow rise and fall on one string begins in third position", 1.0,
     "D5:A1 ( E5:A2 F#5:A3 ) A5:E1 ( G5:A4 F#5:A3 ) E5:A2 D5:A1"},
    {"a quick scale takes open strings up and fourth fingers down", 0.15,
     "A4:A0 B4:A1 C#5:A2 D5:A3 E5:E0 F#5:E1 G#5:E2 A5:E3 "
     "G#5:E2 F#5:E1 E5:A4 D5:A3 C#5:A2 B4:A1 A4:D4 G4:D3"},
    {"a quick figure in first position stays there", 0.15,
     "D5:A3 F#5:E1 D5:A3 A4:A0 B4:A1 D5:A3 G5:E2 D5:A3 B4:A1 A4:D4 F#4:D2 A4:D4"},
    {"one C above the hand is reached with the fourth finger", 0.15,
     "C5:A2 E5:E0 G5:E2 C6:E4 G5:E2 E5:A4 C5:A2 E5:A4 D5:A3"},
    {"a neighbour above the fourth finger is stretched for", 0.15,
     "G#5:E2 A5:E3 B5:E4 C6:E4 B5:E4 A5:E3 G#5:E2 E5:E0"},
    {"a broken chord up to D6 lies in third position", 0.15,
     "D5:A1 F#5:A3 A5:E1 D6:E4 A5:E1 F#5:A3 D5:A1 F#5:A3 A5:E1 D6:E4"},
    {"a run down from D6 stays in third position", 0.15,
     "D6:E4 C#6:E3 B5:E2 A5:E1 G5:A4 F#5:A3 E5:A2 D5:A1"},
    {"a note between two fifths keeps the bow on its string", 0.15,
     "E5:A4 A4:A0 C#5:A2 A4:A0 E5:A4 A4:A0 C#5:A2 A4:A0"},
    {"a neighbour of the fourth finger does not cross to the open string", 0.2,
     "C#5:A2 D5:A3 E5:A4 D5:A3 C#5:A2 B4:A1"},
    {"an arpeggio in A goes up by thirds and shifts to third position", 0.25,
     "A3:G1 C#4:G3 E4:D1 A4:A0 C#5:A2 E5:E0 A5:E1 C#6:E3"},
};

struct Read {
  std::vector<FingeringEvent> events;
  std::vector<Stop> expected;
};

// "F#5:A3" into an event and the string and finger that are expected of it.
void add(Read& read, const std::string& word, double seconds, bool slurred) {
  const std::size_t colon = word.find(':');
  FingeringEvent event;
  event.notes.push_back({*SpelledPitch::parse(word.substr(0, colon)), {}, false});
  event.onset = Seconds(seconds * static_cast<double>(read.events.size()));
  event.sounding = Seconds(seconds);
  event.slurred_from_before = slurred;
  event.on_beat = read.events.size() % 2 == 0;
  read.events.push_back(event);
  Stop stop;
  stop.string = 1 + static_cast<int>(std::string("EADG").find(word[colon + 1]));
  stop.finger = word[colon + 2] - '0';
  read.expected.push_back(stop);
}

Read read(const HandOfPlayers& passage) {
  Read result;
  std::istringstream words(passage.notes);
  std::string word;
  bool slur = false;
  bool first = true;
  while (words >> word) {
    if (word == "(" || word == ")") {
      slur = word == "(";
      first = true;
      continue;
    }
    add(result, word, passage.seconds, slur && !first);
    first = false;
  }
  return result;
}

TEST(Passages, AreFingeredAsPlayersDo) {
  const Instrument& violin = instrument(InstrumentKind::violin);
  for (const HandOfPlayers& passage : passages) {
    const Read notes = read(passage);
    const Fingering found = finger(notes.events, violin, reach(violin, "thumb"),
                                   default_fingering_costs(InstrumentKind::violin));
    for (std::size_t i = 0; i < notes.events.size(); ++i) {
      ASSERT_FALSE(found.events[i].stops.empty());
      const Stop& stop = found.events[i].stops[0];
      EXPECT_EQ(stop.string, notes.expected[i].string) << passage.name << ", note " << i + 1;
      EXPECT_EQ(stop.finger, notes.expected[i].finger) << passage.name << ", note " << i + 1;
    }
  }
}

}  // namespace
}  // namespace endpin
