#include "endpin/media/encode.h"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace endpin {
namespace {

Audio tone(double seconds, int rate) {
  Audio audio{rate, std::vector<float>(static_cast<std::size_t>(seconds * rate))};
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    const double t = static_cast<double>(i) / rate;
    audio.samples[i] = static_cast<float>(0.5 * std::sin(2 * std::numbers::pi * 220 * t));
  }
  return audio;
}

std::uint32_t little_endian(const std::string& bytes, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 4; i-- > 0;) value = value << 8 | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

TEST(Encode, GivesTheSameBytesEachTime) {
  for (const AudioFormat format : {AudioFormat::wav, AudioFormat::flac, AudioFormat::opus}) {
    const auto first = encode(tone(1.0, 48000), format, "A tune");
    const auto second = encode(tone(1.0, 48000), format, "A tune");
    ASSERT_TRUE(first) << first.error().line();
    EXPECT_EQ(*first, *second);
  }
}

// RIFF WAVE (Microsoft and IBM, 1991): sizes and the format chunk at fixed places.
TEST(Encode, WritesAWaveHeaderWhoseSizesAddUp) {
  const auto bytes = encode(tone(0.5, 48000), AudioFormat::wav);
  ASSERT_TRUE(bytes);
  EXPECT_EQ(bytes->substr(0, 4), "RIFF");
  EXPECT_EQ(little_endian(*bytes, 4), bytes->size() - 8);
  EXPECT_EQ(bytes->substr(8, 8), "WAVEfmt ");
  EXPECT_EQ(little_endian(*bytes, 24), 48000U);
  EXPECT_EQ(bytes->substr(36, 4), "data");
  EXPECT_EQ(little_endian(*bytes, 40), 2U * 24000U);
}

// RFC 3533, section 6: a page's serial number stands at byte 14, after "OggS".
TEST(Encode, FixesTheSerialNumberOfOgg) {
  const auto bytes = encode(tone(0.5, 48000), AudioFormat::opus);
  ASSERT_TRUE(bytes);
  EXPECT_EQ(bytes->substr(0, 4), "OggS");
  EXPECT_EQ(little_endian(*bytes, 14), 0U);
}

TEST(Encode, KnowsAFormatByItsEnding) {
  EXPECT_EQ(format_for("a/b.WAV"), AudioFormat::wav);
  EXPECT_EQ(format_for("x.flac"), AudioFormat::flac);
  EXPECT_EQ(format_for("x.y.opus"), AudioFormat::opus);
  EXPECT_EQ(format_for("x.mp3"), std::nullopt);
  EXPECT_EQ(format_for("wav"), std::nullopt);
}

}  // namespace
}  // namespace endpin
