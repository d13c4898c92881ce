#include "endpin/media/decode.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <limits>
#include <numbers>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "encode_as.h"

namespace endpin {
namespace {

using testing::HasSubstr;

/// A file in a folder of the test's own, gone with the test.
class TemporaryFile {
 public:
  TemporaryFile(const std::string& name, const std::string& bytes)
      : path_(std::filesystem::path(testing::TempDir()) /
              (std::to_string(::getpid()) + "-" + name)) {
    std::ofstream(path_, std::ios::binary) << bytes;
  }
  ~TemporaryFile() { std::filesystem::remove(path_); }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  std::string path() const { return path_.string(); }

 private:
  std::filesystem::path path_;
};

/// Silence with one short burst of 1 kHz, raised cosine, whose middle lies at `at`.
Audio burst(double seconds, double at, int rate) {
  Audio audio{rate, std::vector<float>(static_cast<std::size_t>(seconds * rate))};
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    const double t = static_cast<double>(i) / rate - at;
    if (std::abs(t) > 0.01) continue;
    const double window = 0.5 + 0.5 * std::cos(std::numbers::pi * t / 0.01);
    audio.samples[i] = static_cast<float>(0.5 * window * std::cos(2 * std::numbers::pi * 1000 * t));
  }
  return audio;
}

/// The centre of energy, in seconds; what a coder makes of silence is left out.
double centre(const Audio& audio) {
  double energy = 0;
  double moment = 0;
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    if (std::abs(audio.samples[i]) < 0.005F) continue;
    const double e = static_cast<double>(audio.samples[i]) * audio.samples[i];
    energy += e;
    moment += e * static_cast<double>(i);
  }
  return moment / energy / audio.rate;
}

struct Kind {
  const char* name;
  Encoding encoding;
};
void PrintTo(const Kind& kind, std::ostream* out) { *out << kind.name; }

class EveryCodec : public testing::TestWithParam<Kind> {};

// Where a sound lies in time is known before encoding: a codec's delay that stays in shows here.
TEST_P(EveryCodec, KeepsABurstWhereItWasToHalfAMillisecond) {
  const Audio audio = burst(3.0, 1.25, 44100);
  const Result<std::string> bytes = encode_as(audio, GetParam().encoding, {});
  ASSERT_TRUE(bytes) << bytes.error().line();
  const TemporaryFile file("burst", *bytes);
  const Result<Audio> heard = decode(file.path());
  ASSERT_TRUE(heard) << heard.error().line();
  EXPECT_NEAR(centre(*heard), 1.25, 0.0005);
  EXPECT_NEAR(heard->duration().value(), 3.0, 0.025);
}

INSTANTIATE_TEST_SUITE_P(Codecs, EveryCodec,
                         testing::Values(Kind{"wav", {"wav", "pcm_s16le", 0, 0}},
                                         Kind{"flac", {"flac", "flac", 0, 0}},
                                         Kind{"mp3", {"mp3", "libmp3lame", 128000, 0}},
                                         Kind{"m4a", {"ipod", "aac", 128000, 0}},
                                         Kind{"mp4", {"mp4", "aac", 128000, 0}},
                                         Kind{"mov", {"mov", "aac", 128000, 0}},
                                         Kind{"opus", {"opus", "libopus", 96000, 48000}},
                                         Kind{"webm", {"webm", "libopus", 96000, 48000}},
                                         Kind{"vorbis", {"ogg", "libvorbis", 128000, 0}},
                                         Kind{"mulaw", {"wav", "pcm_mulaw", 0, 8000}}),
                         [](const auto& parameter) { return std::string(parameter.param.name); });

TEST(Decode, BringsTheRateThatIsAskedFor) {
  const Result<std::string> bytes = encode_as(burst(1.0, 0.5, 44100), {}, {});
  const TemporaryFile file("rate.wav", *bytes);
  const Result<Audio> heard = decode(file.path(), {.rate = 16000});
  ASSERT_TRUE(heard);
  EXPECT_EQ(heard->rate, 16000);
  EXPECT_NEAR(centre(*heard), 0.5, 0.0005);
}

TEST(Decode, BringsVeryHighRatesDownTo48k) {
  const Result<std::string> bytes = encode_as(burst(1.0, 0.5, 192000), {}, {});
  const TemporaryFile file("high.wav", *bytes);
  const Result<Audio> heard = decode(file.path());
  ASSERT_TRUE(heard);
  EXPECT_EQ(heard->rate, 48000);
  EXPECT_NEAR(centre(*heard), 0.5, 0.0005);
}

/// A RIFF wave file of two channels, 16 bit (IBM and Microsoft, Multimedia Programming Interface
/// 1.0, 1991).
std::string two_channels(const std::vector<float>& left, const std::vector<float>& right) {
  const auto number = [](std::uint32_t value, int bytes) {
    std::string text;
    for (int b = 0; b < bytes; ++b) text += static_cast<char>(value >> (8 * b) & 255);
    return text;
  };
  std::string sound;
  for (std::size_t i = 0; i < left.size(); ++i) {
    for (const float x : {left[i], right[i]}) {
      sound += number(static_cast<std::uint32_t>(std::lround(32767 * x)), 2);
    }
  }
  const auto bytes = static_cast<std::uint32_t>(sound.size());
  return "RIFF" + number(36 + bytes, 4) + "WAVEfmt " + number(16, 4) + number(1, 2) + number(2, 2) +
         number(44100, 4) + number(4 * 44100, 4) + number(4, 2) + number(16, 2) + "data" +
         number(bytes, 4) + sound;
}

float loudest(const std::vector<float>& left, const std::vector<float>& right) {
  const TemporaryFile file("two.wav", two_channels(left, right));
  const Result<Audio> heard = decode(file.path());
  float most = 0;
  for (const float x : heard->samples) most = std::max(most, std::abs(x));
  return most;
}

constexpr double channel = 0.5 / std::numbers::sqrt2;  // what one of two leaves of a burst

// A balanced line carries the sound on two conductors, one of them turned over (IEC 60268-12).
TEST(Decode, OfTwoOpposedChannelsNothingIsLost) {
  const std::vector<float> tone = burst(1.0, 0.5, 44100).samples;
  std::vector<float> turned = tone;
  for (float& x : turned) x = -0.9F * x;
  EXPECT_NEAR(loudest(tone, turned), 1.9 * channel, 0.001);
}

TEST(Decode, OtherwiseTwoChannelsAreAdded) {
  const std::vector<float> tone = burst(1.0, 0.5, 44100).samples;
  const std::vector<float> later = burst(1.0, 0.7, 44100).samples, nothing(tone.size());
  EXPECT_NEAR(loudest(tone, tone), 2 * channel, 0.001);
  EXPECT_NEAR(loudest(tone, nothing), channel, 0.001);
  EXPECT_NEAR(loudest(nothing, tone), channel, 0.001);
  EXPECT_NEAR(loudest(tone, later), channel, 0.001);
}

TEST(Decode, TurnsWhatIsNoNumberIntoSilence) {
  Audio audio = burst(0.5, 0.25, 44100);
  audio.samples[100] = std::numeric_limits<float>::quiet_NaN();
  audio.samples[101] = std::numeric_limits<float>::infinity();
  const Result<std::string> bytes = encode_as(audio, {"wav", "pcm_f32le", 0, 0}, {});
  const TemporaryFile file("nan.wav", *bytes);
  const Result<Audio> heard = decode(file.path());
  ASSERT_TRUE(heard);
  EXPECT_EQ(heard->samples[100], 0.0F);
  EXPECT_EQ(heard->samples[101], 0.0F);
  EXPECT_EQ(heard->samples.size(), audio.samples.size());
}

TEST(Decode, RefusesWhatIsTooLong) {
  const Result<std::string> bytes = encode_as(burst(5.0, 0.5, 8000), {}, {});
  const TemporaryFile file("long.wav", *bytes);
  const Result<Audio> heard = decode(file.path(), {.duration = Seconds(2)});
  ASSERT_FALSE(heard);
  EXPECT_THAT(heard.error().line(), HasSubstr("longer than 2 seconds. Cut out"));
}

// The fuzzer found a header that claims 1.6 GHz, for which the resampler took 1.7 GB. In a WAV file
// the rate stands at byte 24 (Microsoft and IBM, Multimedia Programming Interface, 1991).
TEST(Decode, RefusesARateThatNoRecorderHas) {
  Result<std::string> bytes = encode_as(burst(0.1, 0.05, 8000), {"wav", "pcm_s16le", 0, 0}, {});
  for (const std::uint32_t rate : {1U, 1627390336U}) {
    std::memcpy(bytes->data() + 24, &rate, sizeof rate);
    const TemporaryFile file("rate.wav", *bytes);
    const Result<Audio> heard = decode(file.path());
    ASSERT_FALSE(heard) << rate;
    EXPECT_THAT(heard.error().line(), HasSubstr(std::to_string(rate) + " samples a second"));
  }
}

TEST(Decode, SaysInOneLineWhatIsWrong) {
  const struct {
    const char* name;
    std::string bytes;
    const char* says;
  } cases[] = {
      {"empty.wav", "", "the file is empty"},
      {"words.wav", "This is a letter to my teacher.\nI practised.\n", "not a recording"},
      {"picture.mp3", "\x89PNG\r\n\x1a\n" + std::string(100, '\0'), ""},
  };
  for (const auto& one : cases) {
    const TemporaryFile file(one.name, one.bytes);
    const Result<Audio> heard = decode(file.path());
    ASSERT_FALSE(heard) << one.name;
    EXPECT_EQ(heard.error().kind, ErrorKind::input);
    EXPECT_EQ(heard.error().file, file.path());
    EXPECT_THAT(heard.error().line(), HasSubstr(one.says));
    EXPECT_EQ(heard.error().line().find('\n'), std::string::npos);
  }
}

TEST(Decode, NamesAFileThatIsMissing) {
  const Result<Audio> heard = decode("/nowhere/take.wav");
  ASSERT_FALSE(heard);
  EXPECT_THAT(heard.error().line(), HasSubstr("/nowhere/take.wav: No such file"));
}

TEST(Decode, OpensNothingThatAPlaylistNames) {
  const Result<std::string> bytes = encode_as(burst(1.0, 0.5, 44100), {}, {});
  const TemporaryFile sound("secret.wav", *bytes);
  const TemporaryFile list("list.m3u8", "#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:9,\n" +
                                            sound.path() + "\n#EXT-X-ENDLIST\n");
  const TemporaryFile concat("list.ffconcat", "ffconcat version 1.0\nfile " + sound.path() + "\n");
  EXPECT_FALSE(decode(list.path()));
  EXPECT_FALSE(decode(concat.path()));
}

}  // namespace
}  // namespace endpin
