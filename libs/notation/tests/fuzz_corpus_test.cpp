#include <filesystem>
#include <fstream>
#include <iterator>

#include <gtest/gtest.h>

#include "../../../fuzz/check_score.h"

namespace endpin {
namespace {

TEST(FuzzCorpus, HoldsForEverySeedAndEveryFormerFinding) {
  int files = 0;
  const std::filesystem::path corpus = std::filesystem::path(ENDPIN_SOURCE_DIR) / "fuzz/corpus";
  for (const char* reader : {"musicxml", "abc", "midi"}) {
    for (const auto& entry : std::filesystem::directory_iterator(corpus / reader)) {
      SCOPED_TRACE(entry.path().string());
      std::ifstream file(entry.path(), std::ios::binary);
      const std::string bytes{std::istreambuf_iterator<char>(file), {}};
      fuzz::check_score(bytes);  // stops the program where something does not hold
      ++files;
    }
  }
  EXPECT_GE(files, 10);
}

}  // namespace
}  // namespace endpin
