#include "endpin/lesson/class_set.h"

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tune_of_chance.h"

namespace endpin {
namespace {

using testing::Contains;
using testing::IsEmpty;

const std::vector<InstrumentKind> everybody{all_instruments.begin(), all_instruments.end()};

ClassSetRequest request_of(const ChanceTune& tune, std::string step) {
  ClassSetRequest request;
  request.score = &tune.score;
  request.instrument = std::string(tune.instrument->name);
  request.instruments = everybody;
  request.step = std::move(step);
  return request;
}

int pitch_class(int midi) { return ((midi % 12) + 12) % 12; }

void expect_bars_add_up(const SetLine& line) {
  for (const Bar& bar : line.score.parts[0].bars) {
    Beats sum;
    for (const Note& note : bar.notes) sum += note.in_chord ? Beats(0) : note.duration;
    EXPECT_EQ(sum, bar.length) << line.instrument->name << ' ' << name(line.kind);
  }
}

void expect_same_classes(const Timeline& a, const Timeline& b) {
  ASSERT_EQ(a.notes.size(), b.notes.size());
  for (std::size_t i = 0; i < a.notes.size(); ++i) {
    EXPECT_EQ(a.notes[i].onset, b.notes[i].onset);
    EXPECT_EQ(a.notes[i].duration, b.notes[i].duration);
    EXPECT_EQ(pitch_class(a.notes[i].midi), pitch_class(b.notes[i].midi));
  }
}

// What the hand of the step cannot play is named, and nothing else is.
void expect_strain_is_said(const SetLine& line, std::string_view step) {
  const Reach& hand = reach(*line.instrument, step);
  std::set<std::string> out;
  for (const TimelineNote& note : line.timeline.notes) {
    EXPECT_GE(note.midi, line.instrument->lowest_midi());
    if (stops(*line.instrument, note.spelled, hand).empty()) out.insert(note.spelled.text());
  }
  EXPECT_EQ(out.size(), line.strained.size());
  for (const std::string& pitch : line.strained) EXPECT_TRUE(out.contains(pitch)) << pitch;
}

// All 15 keys, 2/4 3/4 4/4 6/8, tunes from every instrument.
TEST(ClassSet, SoundsOnePitchClassAtOneTimeAndSaysWhatStrainsTheHand) {
  const TimeSignature metres[] = {metre(2, 4), metre(3, 4), metre(4, 4), metre(6, 8)};
  unsigned seed = 40;
  for (int fifths = -7; fifths <= 7; ++fifths) {
    for (const TimeSignature& time : metres) {
      ++seed;
      const Instrument& from = instrument(all_instruments[seed % 4]);
      const ChanceTune tune =
          chance_tune(seed, from, "first-position", fifths, seed % 2 == 0, time, 4);
      const ClassSet set = make_class_set(request_of(tune, "first-position")).value();
      for (const InstrumentKind kind : everybody) {
        const SetLine* line = set.find(SetLineKind::tune, kind);
        ASSERT_NE(line, nullptr);
        expect_same_classes(line->timeline, tune.timeline);
        EXPECT_EQ(line->timeline.fifths, fifths);
      }
      for (const SetLine& line : set.lines) {
        expect_bars_add_up(line);
        expect_strain_is_said(line, "first-position");
        // Lines that we make keep to the hand; the tune is as it is.
        if (line.kind != SetLineKind::tune) {
          EXPECT_THAT(line.strained, IsEmpty()) << name(line.kind);
        }
        for (const TimelineNote& note : line.timeline.notes) {
          EXPECT_TRUE(note.id.starts_with(std::string(line.instrument->name) + "-"));
        }
      }
    }
  }
}

TEST(ClassSet, BowsEverybodyAlike) {
  for (unsigned seed = 1; seed <= 12; ++seed) {
    const ChanceTune tune = chance_tune(seed, instrument(InstrumentKind::violin), "first-position",
                                        static_cast<int>(seed % 5) - 2, false, metre(4, 4));
    const ClassSet set = make_class_set(request_of(tune, "first-position")).value();
    const SetLine& lead = *set.find(SetLineKind::tune, InstrumentKind::violin);
    for (const InstrumentKind kind : everybody) {
      const SetLine& line = *set.find(SetLineKind::tune, kind);
      ASSERT_EQ(line.markings.notes.size(), lead.markings.notes.size());
      for (std::size_t i = 0; i < lead.markings.notes.size(); ++i) {
        EXPECT_EQ(line.markings.notes[i].bow, lead.markings.notes[i].bow);
        EXPECT_EQ(line.markings.notes[i].bow_shown, lead.markings.notes[i].bow_shown);
        EXPECT_NE(line.markings.notes[i].bow_origin, Origin::teacher);
      }
    }
  }
}

TEST(ClassSet, TakesTheTeachersBowsForEverybody) {
  const ChanceTune tune =
      chance_tune(3, instrument(InstrumentKind::violin), "first-position", 1, false, metre(4, 4));
  ClassSetRequest request = request_of(tune, "first-position");
  const Timeline played = timeline(tune.score, 0, "violin").value();
  TeacherMarking up;
  up.id = played.notes.front().id;
  up.bow = Bow::up;
  request.teacher = {up};
  const ClassSet set = make_class_set(request).value();
  for (const InstrumentKind kind : everybody) {
    EXPECT_EQ(set.find(SetLineKind::tune, kind)->markings.notes.front().bow, Bow::up);
  }
}

TEST(ClassSet, LooksAtEachHandFromItsOwnStep) {
  const ChanceTune tune =
      chance_tune(5, instrument(InstrumentKind::violin), "first-position", 0, false, metre(4, 4));
  ClassSetRequest request = request_of(tune, "first-position");
  request.steps[InstrumentKind::cello] = "open-strings";
  const ClassSet set = make_class_set(request).value();
  for (const SetLine& line : set.lines) {
    const bool cello = line.instrument->kind == InstrumentKind::cello;
    EXPECT_EQ(line.hand, cello ? "open-strings" : "first-position");
    expect_strain_is_said(line, line.hand);
  }
  EXPECT_FALSE(set.find(SetLineKind::tune, InstrumentKind::cello)->strained.empty());
  for (const KeyForInstrument& one : set.chosen().each) {
    EXPECT_EQ(one.strained, set.find(SetLineKind::tune, one.instrument->kind)->strained);
  }
}

TEST(ClassSet, LeavesOutTheLinesThatNobodyWants) {
  const ChanceTune tune =
      chance_tune(7, instrument(InstrumentKind::viola), "first-position", 0, false, metre(4, 4));
  ClassSetRequest request = request_of(tune, "first-position");
  request.left_out = {SetLineKind::second, SetLineKind::warm_up};
  const ClassSet set = make_class_set(request).value();
  for (const InstrumentKind kind : everybody) {
    EXPECT_NE(set.find(SetLineKind::tune, kind), nullptr);
    EXPECT_NE(set.find(SetLineKind::rhythm, kind), nullptr);
    EXPECT_EQ(set.find(SetLineKind::second, kind), nullptr);
    EXPECT_EQ(set.find(SetLineKind::warm_up, kind), nullptr);
  }
}

// The handbook: in D major the bass' C sharp lies +6 on the G string, out of first position.
TEST(ClassSet, SaysThatDMajorStrainsTheBassAndProposesAKeyThatDoesNot) {
  const Ground ground = chance_ground(instrument(InstrumentKind::cello), 2, false, metre(4, 4));
  Phrase scale;
  for (const char* note : {"D3", "E3", "F#3", "G3", "A3", "B3", "C#4", "D4"}) {
    scale.push_back(line_note(*SpelledPitch::parse(note), 1));
  }
  const Score score = exercise_score(ground, lay_into_bars({scale}, metre(4, 4)), "n");
  ClassSetRequest request;
  request.score = &score;
  request.instrument = "cello";
  request.instruments = everybody;
  const ClassSet set = make_class_set(request).value();
  const SetLine& bass = *set.find(SetLineKind::tune, InstrumentKind::bass);
  EXPECT_THAT(bass.strained, Contains("C#3"));
  EXPECT_NE(bass.step, "first-position");
  EXPECT_FALSE(set.chosen().in_hand());
  const KeyChoice& easiest = set.keys.front();
  EXPECT_TRUE(easiest.in_hand());

  request.fifths = easiest.key.fifths;
  const ClassSet easy = make_class_set(request).value();
  for (const InstrumentKind kind : everybody) {
    EXPECT_THAT(easy.find(SetLineKind::tune, kind)->strained, IsEmpty());
  }
  const int shift =
      easy.find(SetLineKind::tune, InstrumentKind::cello)->timeline.notes[0].midi - 50;
  EXPECT_EQ(pitch_class(shift), pitch_class(7 * (easiest.key.fifths - 2)));
}

// Plain rules of two voices: no dissonance on a beat, no fifths or octaves in parallel. Counted
// over many tunes, since a hand in one position leaves a voice no choice now and then.
TEST(ClassSet, GivesASecondVoiceThatFollowsThePlainRules) {
  int beats = 0;
  int consonant = 0;
  int parallels = 0;
  for (unsigned seed = 200; seed < 230; ++seed) {
    const Instrument& on = instrument(all_instruments[seed % 4]);
    const ChanceTune tune =
        chance_tune(seed, on, "first-position", static_cast<int>(seed % 3), false, metre(4, 4));
    ClassSetRequest request = request_of(tune, "first-position");
    request.instruments = {on.kind};
    const ClassSet set = make_class_set(request).value();
    const SetLine* second = set.find(SetLineKind::second, on.kind);
    ASSERT_NE(second, nullptr);
    const SetLine& first = *set.find(SetLineKind::tune, on.kind);
    const auto at = [](const Timeline& timeline, Beats place) -> std::optional<int> {
      for (const TimelineNote& note : timeline.notes) {
        if (note.onset <= place && place < note.onset + note.duration) return note.midi;
      }
      return std::nullopt;
    };
    std::optional<int> before_tune, before_second;
    for (Beats place; place < first.timeline.end(); place += Beats(1)) {
      const auto a = at(first.timeline, place);
      const auto b = at(second->timeline, place);
      if (a && b) {
        ++beats;
        const int size = std::abs(*a - *b) % 12;
        consonant += std::set<int>{0, 3, 4, 7, 8, 9}.contains(size) ? 1 : 0;
        if (before_tune && *before_tune != *a && *before_second != *b) {
          const int was = std::abs(*before_tune - *before_second) % 12;
          parallels += was == size && (size == 0 || size == 7) ? 1 : 0;
        }
        before_tune = a;
        before_second = b;
      }
    }
  }
  EXPECT_GT(beats, 800);
  EXPECT_GT(consonant, 0.97 * beats);
  EXPECT_LT(parallels, 0.01 * beats);
}

TEST(ClassSet, WarmsUpInUnisonOrOctaves) {
  for (int fifths = -7; fifths <= 7; ++fifths) {
    const ChanceTune tune = chance_tune(77, instrument(InstrumentKind::viola), "first-position",
                                        fifths, false, metre(3, 4), 4);
    const ClassSet set = make_class_set(request_of(tune, "first-position")).value();
    const SetLine* lead = set.find(SetLineKind::warm_up, InstrumentKind::violin);
    ASSERT_NE(lead, nullptr) << fifths;
    for (const InstrumentKind kind : everybody) {
      const SetLine* line = set.find(SetLineKind::warm_up, kind);
      ASSERT_NE(line, nullptr);
      expect_same_classes(line->timeline, lead->timeline);
    }
  }
}

TEST(ClassSet, RefusesWhatItCannotMake) {
  const ChanceTune tune =
      chance_tune(3, instrument(InstrumentKind::cello), "first-position", 0, false, metre(4, 4));
  ClassSetRequest request = request_of(tune, "first-position");
  request.instruments = {};
  EXPECT_FALSE(make_class_set(request));
  request.instruments = {InstrumentKind::violin, InstrumentKind::violin};
  EXPECT_FALSE(make_class_set(request));
  request.instruments = everybody;
  request.step = "nonsense";
  EXPECT_THAT(make_class_set(request).error().line(), testing::HasSubstr("first-position"));
  request.step = "first-position";
  request.fifths = 9;
  EXPECT_FALSE(make_class_set(request));
}

}  // namespace
}  // namespace endpin
