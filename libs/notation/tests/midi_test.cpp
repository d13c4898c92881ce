#include <gtest/gtest.h>

#include "endpin/notation/read.h"
#include "endpin/score/unfold.h"

#include "midi_file.h"

namespace endpin {
namespace {

using Bytes = std::vector<unsigned>;

std::string text_of(const Bytes& bytes) {
  std::string text;
  for (const unsigned byte : bytes) text += static_cast<char>(static_cast<unsigned char>(byte));
  return text;
}

std::string big_endian(std::size_t value, int bytes) {
  std::string text;
  for (int shift = 8 * (bytes - 1); shift >= 0; shift -= 8) {
    text += static_cast<char>(static_cast<unsigned char>(value >> shift & 0xFF));
  }
  return text;
}

std::string variable(std::uint32_t value) {
  std::string text(1, static_cast<char>(value & 0x7F));
  while ((value >>= 7) > 0) text.insert(text.begin(), static_cast<char>(0x80 | (value & 0x7F)));
  return text;
}

std::string track(const std::string& events) {
  const std::string all = events + text_of({0x00, 0xFF, 0x2F, 0x00});
  return "MTrk" + big_endian(all.size(), 4) + all;
}

std::string file(int format, int ticks, const std::vector<std::string>& tracks) {
  std::string text = "MThd" + big_endian(6, 4) + big_endian(format, 2) +
                     big_endian(tracks.size(), 2) + big_endian(ticks, 2);
  for (const std::string& t : tracks) text += t;
  return text;
}

/// Notes one after the other on channel 1: pitch, ticks until it starts, ticks that it sounds.
struct Struck {
  unsigned pitch;
  std::uint32_t wait;
  std::uint32_t sounds;
};
std::string melody(const std::vector<Struck>& notes) {
  std::string events;
  for (const Struck& note : notes) {
    events += variable(note.wait) + text_of({0x90, note.pitch, 0x40});
    events += variable(note.sounds) + text_of({0x80, note.pitch, 0x40});
  }
  return track(events);
}

std::string played(std::string_view bytes) {
  const auto score = read_score(bytes);
  EXPECT_TRUE(score) << score.error().line();
  const auto t = timeline(*score, 0);
  EXPECT_TRUE(t);
  std::string text;
  for (const TimelineNote& note : t->notes) {
    text += (text.empty() ? "" : " ") + note.spelled.text() + "@" + note.onset.text() + "+" +
            note.duration.text();
  }
  return text;
}

TEST(Midi, VariableLengthQuantitiesOfTheSpecification) {
  // Standard MIDI Files 1.0, table of variable-length quantities.
  const std::vector<std::pair<std::uint32_t, Bytes>> table{{0x00000000, {0x00}},
                                                           {0x00000040, {0x40}},
                                                           {0x0000007F, {0x7F}},
                                                           {0x00000080, {0x81, 0x00}},
                                                           {0x00002000, {0xC0, 0x00}},
                                                           {0x00003FFF, {0xFF, 0x7F}},
                                                           {0x00004000, {0x81, 0x80, 0x00}},
                                                           {0x00100000, {0xC0, 0x80, 0x00}},
                                                           {0x001FFFFF, {0xFF, 0xFF, 0x7F}},
                                                           {0x00200000, {0x81, 0x80, 0x80, 0x00}},
                                                           {0x08000000, {0xC0, 0x80, 0x80, 0x00}},
                                                           {0x0FFFFFFF, {0xFF, 0xFF, 0xFF, 0x7F}}};
  for (const auto& [number, bytes] : table) {
    std::size_t at = 0;
    EXPECT_EQ(notation::variable_length(text_of(bytes), at), number);
    EXPECT_EQ(at, bytes.size());
  }
  std::size_t at = 0;
  EXPECT_EQ(notation::variable_length(text_of({0xFF, 0xFF, 0xFF, 0xFF, 0x7F}), at), std::nullopt);
}

TEST(Midi, ReadsTheExampleOfTheSpecification) {
  // Standard MIDI Files 1.0, the example of format 0: running status, a delta of two bytes.
  const std::string bytes =
      text_of({0x4D, 0x54, 0x68, 0x64, 0x00, 0x00, 0x00, 0x06, 0x00, 0x00, 0x00, 0x01, 0x00, 0x60,
               0x4D, 0x54, 0x72, 0x6B, 0x00, 0x00, 0x00, 0x3B, 0x00, 0xFF, 0x58, 0x04, 0x04, 0x02,
               0x18, 0x08, 0x00, 0xFF, 0x51, 0x03, 0x07, 0xA1, 0x20, 0x00, 0xC0, 0x05, 0x00, 0xC1,
               0x2E, 0x00, 0xC2, 0x46, 0x00, 0x92, 0x30, 0x60, 0x00, 0x3C, 0x60, 0x60, 0x91, 0x43,
               0x40, 0x60, 0x90, 0x4C, 0x20, 0x81, 0x40, 0x82, 0x30, 0x40, 0x00, 0x3C, 0x40, 0x00,
               0x81, 0x43, 0x40, 0x00, 0x80, 0x4C, 0x40, 0x00, 0xFF, 0x2F, 0x00});
  const auto score = read_score(bytes);
  ASSERT_TRUE(score) << score.error().line();
  EXPECT_TRUE(score->notation_guessed);
  ASSERT_EQ(score->parts.size(), 3U);
  const std::vector<std::string> expected{"E5@2+2", "G4@1+3", "C3@0+4 C4@0+4"};
  for (int part = 0; part < 3; ++part) {
    const auto t = timeline(*score, part);
    ASSERT_TRUE(t);
    std::string text;
    for (const TimelineNote& note : t->notes) {
      text += (text.empty() ? "" : " ") + note.spelled.text() + "@" + note.onset.text() + "+" +
              note.duration.text();
    }
    EXPECT_EQ(text, expected[part]);
    EXPECT_DOUBLE_EQ(t->tempo.tempo_at(Beats(0)).value(), 120);
  }
  EXPECT_EQ(score->parts[2].midi_program, 71);
}

TEST(Midi, QuantisesWhatWasPlayedLoosely) {
  // A quarter, two eighths and a half, each a little early or late and let go of early.
  EXPECT_EQ(
      played(file(0, 480, {melody({{62, 9, 430}, {64, 38, 215}, {65, 28, 220}, {67, 16, 900}})})),
      "D4@0+1 E4@1+1/2 F4@3/2+1/2 G4@2+2");
}

TEST(Midi, FindsTriplets) {
  EXPECT_EQ(
      played(file(0, 480, {melody({{62, 0, 160}, {64, 0, 160}, {65, 0, 160}, {67, 0, 480}})})),
      "D4@0+1/3 E4@1/3+1/3 F4@2/3+1/3 G4@1+1");
}

TEST(Midi, SplitsAtTheBarLineAndTies) {
  const auto score = read_score(file(0, 480, {melody({{62, 0, 1440}, {64, 0, 960}})}));
  ASSERT_TRUE(score);
  const std::vector<Bar>& bars = score->parts[0].bars;
  ASSERT_EQ(bars.size(), 2U);
  EXPECT_TRUE(bars[0].notes.back().tie_start);
  EXPECT_TRUE(bars[1].notes.front().tie_stop);
  EXPECT_EQ(bars[1].notes.back().rest, RestKind::rest);
  for (const Bar& bar : bars) {
    for (const Note& note : bar.notes) {
      ASSERT_TRUE(note.written);
      EXPECT_EQ(note.written->beats(), note.duration);
    }
  }
}

TEST(Midi, KeepsRestsThatAreMeant) {
  EXPECT_EQ(played(file(0, 480, {melody({{62, 480, 480}, {64, 480, 480}})})), "D4@1+1 E4@3+1");
}

TEST(Midi, SpellsByTheKey) {
  const std::string four_sharps = text_of({0x00, 0xFF, 0x59, 0x02, 0x04, 0x00});
  const std::string four_flats = text_of({0x00, 0xFF, 0x59, 0x02, 0xFC, 0x00});
  const std::string notes = text_of({0x00, 0x90, 0x44, 0x40, 0x83, 0x60, 0x80, 0x44, 0x40});
  EXPECT_EQ(played(file(1, 480, {track(four_sharps), track(notes)})), "G#4@0+1");
  EXPECT_EQ(played(file(1, 480, {track(four_flats), track(notes)})), "Ab4@0+1");
}

TEST(Midi, ABassIsWrittenAnOctaveAboveWhatSounds) {
  const std::string bass =
      text_of({0x00, 0xC0, 0x2B, 0x00, 0x90, 0x1C, 0x40, 0x83, 0x60, 0x80, 0x1C, 0x40});
  const auto score = read_score(file(0, 480, {track(bass)}));
  ASSERT_TRUE(score);
  EXPECT_EQ(score->parts[0].bars[0].notes[0].pitch.text(), "E2");
  EXPECT_EQ(timeline(*score, 0)->notes[0].midi, 28);
}

TEST(Midi, SaysThatTheNotationWasGuessed) {
  const auto score = read_score(file(0, 480, {melody({{62, 0, 480}})}));
  ASSERT_TRUE(score);
  ASSERT_FALSE(score->warnings.empty());
  EXPECT_NE(score->warnings.back().what.find("guessed"), std::string::npos);
}

TEST(Midi, ReadsADamagedTrackUpToTheDamage) {
  std::string bytes = file(0, 480, {melody({{62, 0, 480}, {64, 0, 480}})});
  bytes.resize(bytes.size() - 9);
  const auto score = read_score(bytes);
  ASSERT_TRUE(score);
  EXPECT_EQ(timeline(*score, 0)->notes[0].spelled.text(), "D4");
}

}  // namespace
}  // namespace endpin
