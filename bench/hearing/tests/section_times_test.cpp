#include "section_times.h"

#include <fstream>

#include <gtest/gtest.h>

namespace endpin::measures {
namespace {

class SectionTimesFile : public testing::Test {
 protected:
  SectionTimesFile() {
    const auto* test = testing::UnitTest::GetInstance()->current_test_info();
    file_ = std::filesystem::path(testing::TempDir()) / (std::string(test->name()) + ".txt");
    std::filesystem::remove(file_);
  }
  std::filesystem::path file_;
};

TEST_F(SectionTimesFile, AreKeptForTheSameWordsOnly) {
  SectionTimes(file_, "full").remember("faults", 3600);
  EXPECT_EQ(SectionTimes(file_, "full").seconds("faults"), 3600);
  EXPECT_EQ(SectionTimes(file_, "quick").seconds("faults"), std::nullopt);
  EXPECT_EQ(SectionTimes(file_, "full").seconds("right"), std::nullopt);
}

TEST_F(SectionTimesFile, TellWhatIsLeft) {
  SectionTimes times(file_, "full");
  times.remember("faults", 3600);
  times.remember("right", 150);
  EXPECT_EQ(times.left({"faults", "right"}), "about 1 h 3 min left");
  EXPECT_EQ(times.left({"right", "speed", "hour"}),
            "about 3 min left, and 2 sections never timed (speed, hour)");
  EXPECT_EQ(times.left({"hour"}), "1 section never timed (hour)");
  EXPECT_EQ(times.left({}), "nothing left");
}

TEST_F(SectionTimesFile, KnowNothingFromABrokenFile) {
  std::ofstream(file_) << "no number\tfaults\tfull\n12\n";
  EXPECT_EQ(SectionTimes(file_, "full").seconds("faults"), std::nullopt);
}

}  // namespace
}  // namespace endpin::measures
