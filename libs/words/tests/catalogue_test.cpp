#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "endpin/words/sentence.h"

namespace endpin {
namespace {

namespace fs = std::filesystem;

nlohmann::json read(const fs::path& path) {
  std::ifstream file(path);
  return nlohmann::json::parse(file);
}

const fs::path folder = fs::path(ENDPIN_SOURCE_DIR) / "data" / "catalogue";

std::multiset<std::string> places(std::string_view text) {
  static const std::regex place("\\{([a-z_0-9]+)[^}]*\\}");
  const std::string copy(text);
  std::multiset<std::string> found;
  for (std::sregex_iterator i(copy.begin(), copy.end(), place), end; i != end; ++i) {
    found.insert((*i)[1]);
  }
  return found;
}

TEST(Catalogue, HoldsWhatItsFilesSay) {
  int checked = 0;
  for (const Language language : all_languages) {
    for (const auto& subject : fs::directory_iterator(folder)) {
      const fs::path path = subject.path() / (std::string(tag(language)) + ".json");
      if (!fs::exists(path)) continue;
      const auto entries = read(path);
      for (const auto& [key, text] : entries.items()) {
        EXPECT_EQ(catalogue_text(key, language), text.get<std::string>()) << path << " " << key;
        ++checked;
      }
    }
  }
  EXPECT_GT(checked, 200);
}

TEST(Catalogue, HasEachKeyOnce) {
  for (const Language language : all_languages) {
    const auto keys = catalogue_keys(language);
    EXPECT_EQ(std::adjacent_find(keys.begin(), keys.end()), keys.end()) << tag(language);
  }
}

TEST(Catalogue, HasEveryKeyInEveryLanguage) {
  for (const Language language : all_languages) {
    for (const std::string_view key : catalogue_keys(language)) {
      for (const Language other : all_languages) {
        EXPECT_FALSE(catalogue_text(key, other).empty()) << tag(other) << " lacks " << key;
      }
    }
  }
}

// British English may leave keys to American English; nobody else may.
TEST(Catalogue, OnlyBritishEnglishFallsBack) {
  const auto american = catalogue_keys(Language::en_us);
  for (const Language language : all_languages) {
    if (language == Language::en_gb) continue;
    EXPECT_EQ(catalogue_keys(language), american) << tag(language);
  }
}

TEST(Catalogue, NamesTheSameArgumentsInEveryLanguage) {
  for (const std::string_view key : catalogue_keys(Language::en_us)) {
    const auto expected = places(catalogue_text(key, Language::en_us));
    for (const Language language : all_languages) {
      const auto found = places(catalogue_text(key, language));
      const std::set<std::string> a(expected.begin(), expected.end());
      const std::set<std::string> b(found.begin(), found.end());
      EXPECT_EQ(a, b) << tag(language) << " " << key;
    }
  }
}

}  // namespace
}  // namespace endpin
