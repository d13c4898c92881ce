#include "endpin/app/decode_in_child.h"

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "endpin/media/encode.h"

namespace endpin::app {
namespace {

using testing::HasSubstr;

std::filesystem::path written(const std::string& name, const std::string& bytes) {
  const auto path =
      std::filesystem::path(testing::TempDir()) / (std::to_string(::getpid()) + "-" + name);
  std::ofstream(path, std::ios::binary) << bytes;
  return path;
}

Audio tone() {
  Audio audio{44100, std::vector<float>(100'001)};
  for (std::size_t i = 0; i < audio.samples.size(); ++i) {
    const double t = static_cast<double>(i) / audio.rate;
    audio.samples[i] = static_cast<float>(0.3 * std::sin(2 * std::numbers::pi * 196 * t));
  }
  return audio;
}

/// A program of our own in place of the decoder, for one test.
class InsteadOfTheDecoder {
 public:
  explicit InsteadOfTheDecoder(const std::string& script)
      : path_(written("decoder.sh", "#!/bin/sh\n" + script + "\n")) {
    std::filesystem::permissions(path_, std::filesystem::perms::owner_all);
    ::setenv("ENDPIN_DECODE", path_.c_str(), 1);
  }
  ~InsteadOfTheDecoder() {
    ::unsetenv("ENDPIN_DECODE");
    std::filesystem::remove(path_);
  }

 private:
  std::filesystem::path path_;
};

TEST(DecodeInChild, BringsTheSamplesThatDecodingHereBrings) {
  for (const AudioFormat format : {AudioFormat::wav, AudioFormat::flac, AudioFormat::opus}) {
    const auto path = written("tone.audio", *encode(tone(), format));
    const auto there = decode_in_child(path);
    ASSERT_TRUE(there) << there.error().line();
    EXPECT_EQ(*there, *decode(path.string()));
    std::filesystem::remove(path);
  }
}

TEST(DecodeInChild, HandsOnWhatTheChildSaysOfAFile) {
  const auto path = written("letter.wav", "Dear teacher, here is my practice.");
  const auto heard = decode_in_child(path);
  ASSERT_FALSE(heard);
  EXPECT_EQ(heard.error().kind, ErrorKind::input);
  EXPECT_THAT(heard.error().line(), HasSubstr("letter.wav: this is not a recording"));
  EXPECT_THAT(heard.error().remedy, HasSubstr("WAV"));
  std::filesystem::remove(path);
}

TEST(DecodeInChild, MakesOneLineOfACrash) {
  const InsteadOfTheDecoder crash("kill -SEGV $$");
  const auto heard = decode_in_child("take.wav");
  ASSERT_FALSE(heard);
  EXPECT_EQ(heard.error().kind, ErrorKind::input);
  EXPECT_THAT(heard.error().line(), HasSubstr("take.wav: the decoder broke down"));
}

TEST(DecodeInChild, NamesALimitOfTime) {
  const InsteadOfTheDecoder slow("kill -XCPU $$");
  EXPECT_THAT(decode_in_child("take.wav").error().line(), HasSubstr("takes too long"));
}

TEST(DecodeInChild, TrustsNoHalfAnswer) {
  const InsteadOfTheDecoder half("printf endpinA1");
  EXPECT_THAT(decode_in_child("take.wav").error().line(), HasSubstr("broke off"));
}

TEST(DecodeInChild, SaysWhenTheDecoderIsNotInstalled) {
  ::setenv("ENDPIN_DECODE", "/nowhere/endpin-decode", 1);
  const auto heard = decode_in_child("take.wav");
  ::unsetenv("ENDPIN_DECODE");
  EXPECT_EQ(heard.error().kind, ErrorKind::machine);
}

}  // namespace
}  // namespace endpin::app
