#include <algorithm>
#include <array>
#include <utility>
#include <vector>

#include "endpin/words/sentence.h"

namespace endpin {
namespace {

struct Row {
  Language language;
  std::string_view key;
  std::string_view text;
};

constexpr Row rows[] = {
#include "catalogue_table.inc"
};

using Entry = std::pair<std::string_view, std::string_view>;
using Catalogue = std::vector<Entry>;

std::array<Catalogue, all_languages.size()> sorted_catalogues() {
  std::array<Catalogue, all_languages.size()> result;
  for (const Row& row : rows) {
    result[static_cast<std::size_t>(row.language)].emplace_back(row.key, row.text);
  }
  for (Catalogue& catalogue : result) std::sort(catalogue.begin(), catalogue.end());
  return result;
}

const Catalogue& catalogue(Language language) {
  static const auto all = sorted_catalogues();
  return all[static_cast<std::size_t>(language)];
}

std::string_view own_text(std::string_view key, Language language) {
  const Catalogue& entries = catalogue(language);
  const auto found =
      std::lower_bound(entries.begin(), entries.end(), key,
                       [](const Entry& entry, std::string_view k) { return entry.first < k; });
  return found != entries.end() && found->first == key ? found->second : std::string_view();
}

}  // namespace

std::string_view catalogue_text(std::string_view key, Language language) {
  const std::string_view own = own_text(key, language);
  return own.empty() && language == Language::en_gb ? own_text(key, Language::en_us) : own;
}

std::vector<std::string_view> catalogue_keys(Language language) {
  std::vector<std::string_view> keys;
  for (const Entry& entry : catalogue(language)) keys.push_back(entry.first);
  return keys;
}

}  // namespace endpin
