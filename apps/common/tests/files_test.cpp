#include "endpin/app/files.h"

#include <filesystem>
#include <string>

#include <gtest/gtest.h>

namespace endpin::app {
namespace {

namespace fs = std::filesystem;

class Files : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("endpin-files-" + std::to_string(::getpid()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }
  std::size_t entries() const {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder_), {}));
  }
  fs::path folder_;
};

TEST_F(Files, ReadBackWhatWasWritten) {
  ASSERT_TRUE(write_file_atomically(folder_ / "a", std::string("x\0y", 3)));
  EXPECT_EQ(read_file(folder_ / "a").value(), std::string("x\0y", 3));
  EXPECT_EQ(entries(), 1u);
}

TEST_F(Files, NameThePathThatIsMissing) {
  const auto read = read_file(folder_ / "none");
  ASSERT_FALSE(read);
  EXPECT_EQ(read.error().kind, ErrorKind::input);
  EXPECT_NE(read.error().line().find("none"), std::string::npos);
}

TEST_F(Files, RefuseFoldersAndWhatIsTooLarge) {
  EXPECT_FALSE(read_file(folder_));
  ASSERT_TRUE(write_file_atomically(folder_ / "a", "12345"));
  EXPECT_FALSE(read_file(folder_ / "a", 4));
  EXPECT_FALSE(write_file_atomically(folder_, "x"));
  EXPECT_FALSE(write_file_atomically(folder_ / "no" / "a", "x"));
}

TEST_F(Files, AStagedFolderAppearsWholeOrNotAtAll) {
  {
    auto staged = StagedDirectory::create(folder_ / "out");
    ASSERT_TRUE(staged);
    ASSERT_TRUE(write_file_atomically(staged->path() / "a", "1"));
    EXPECT_FALSE(fs::exists(folder_ / "out"));
  }
  EXPECT_EQ(entries(), 0u);
  auto staged = StagedDirectory::create(folder_ / "out" / "");
  ASSERT_TRUE(staged);
  ASSERT_TRUE(write_file_atomically(staged->path() / "a", "1"));
  ASSERT_TRUE(staged->publish());
  EXPECT_EQ(read_file(folder_ / "out" / "a").value(), "1");
}

TEST_F(Files, AStagedFolderKeepsStrangersFiles) {
  fs::create_directories(folder_ / "out");
  ASSERT_TRUE(write_file_atomically(folder_ / "out" / "mine", "kept"));
  {
    auto staged = StagedDirectory::create(folder_ / "out");
    ASSERT_TRUE(staged);
    ASSERT_TRUE(write_file_atomically(staged->path() / "a", "1"));
    ASSERT_TRUE(staged->publish());
  }
  EXPECT_EQ(read_file(folder_ / "out" / "mine").value(), "kept");
  EXPECT_EQ(read_file(folder_ / "out" / "a").value(), "1");
  EXPECT_EQ(entries(), 1u);
}

}  // namespace
}  // namespace endpin::app
