#include "endpin/app/sounds.h"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <numbers>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "endpin/base/pitch.h"
#include "endpin/media/encode.h"

namespace endpin::app {
namespace {

using testing::HasSubstr;

class FolderOfSounds : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = std::filesystem::path(testing::TempDir()) / ("sounds-" + std::to_string(::getpid()));
    std::filesystem::create_directories(folder_ / "cello");
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  void write(const std::string& name, const std::string& bytes) const {
    std::ofstream(folder_ / "cello" / name, std::ios::binary) << bytes;
  }
  static std::string tone(int midi) {
    Audio audio{44100, std::vector<float>(88200)};
    const double f = frequency(midi).value();
    for (std::size_t i = 0; i < audio.samples.size(); ++i) {
      const double phase = 2 * std::numbers::pi * f * static_cast<double>(i) / audio.rate;
      audio.samples[i] = static_cast<float>(0.2 * (std::sin(phase) + 0.5 * std::sin(2 * phase)));
    }
    return *encode(audio, AudioFormat::flac);
  }
  std::string failure() const {
    const auto sounds = open_sounds("cello", folder_.string());
    return sounds ? "no failure" : sounds.error().line();
  }

  std::filesystem::path folder_;
};

TEST_F(FolderOfSounds, IsTakenInPlaceOfTheFont) {
  write("sounds.json",
        R"({"schema":"endpin.sounds/1","sounds":[{"file":"D3.flac","pitch":"D3"}]})");
  write("D3.flac", tone(50));
  auto sounds = open_sounds("cello", folder_.string());
  ASSERT_TRUE(sounds) << sounds.error().line();
  EXPECT_TRUE((*sounds)->sound(Technique::bowed, 52, 1000));
  EXPECT_FALSE((*sounds)->sound(Technique::bowed, 70, 1000));
}

TEST_F(FolderOfSounds, SaysWhatIsWrongWithItsList) {
  EXPECT_THAT(failure(), HasSubstr("sounds.json"));
  write("sounds.json", "[1, 2");
  EXPECT_THAT(failure(), HasSubstr("no list of sounds"));
  write("sounds.json", R"({"sounds":[{"file":"D3.flac","pitch":"H9"}]})");
  EXPECT_THAT(failure(), HasSubstr("'D3.flac', 'H9' is no file and its pitch"));
  write("sounds.json", R"({"sounds":[{"file":"../../secret.flac","pitch":"D3"}]})");
  EXPECT_THAT(failure(), HasSubstr("outside of the folder"));
  write("sounds.json", R"({"sounds":[{"file":"D3.flac","pitch":"D3"}]})");
  EXPECT_THAT(failure(), HasSubstr("D3.flac: No such file"));
}

TEST_F(FolderOfSounds, NamesASoundAtAnotherPitch) {
  write("sounds.json", R"({"sounds":[{"file":"E3.flac","pitch":"E3"}]})");
  write("E3.flac", tone(51));
  EXPECT_THAT(failure(), HasSubstr("named E3 and sounds as"));
}

TEST(Sounds, ComeFromTheInstalledFontOtherwise) {
  const auto sounds = open_sounds("viola");
  ASSERT_TRUE(sounds) << sounds.error().line();
  EXPECT_TRUE((*sounds)->sound(Technique::bowed, 60, 1000));
}

}  // namespace
}  // namespace endpin::app
