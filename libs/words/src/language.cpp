#include "endpin/words/language.h"

#include <string>

namespace endpin {
namespace {

constexpr std::array<std::string_view, 7> tags{"en-US", "en-GB", "de", "fr", "es", "it", "pt"};

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (c == '_') c = '-';
  }
  return result;
}

}  // namespace

std::string_view tag(Language language) { return tags[static_cast<std::size_t>(language)]; }

std::optional<Language> find_language(std::string_view wanted) {
  const std::string text = lower(wanted);
  const std::string primary = text.substr(0, text.find('-'));
  // Outside the United States and Canada, English-speaking players count in crotchets.
  if (primary == "en") {
    const bool american = text == "en" || text == "en-us" || text == "en-ca";
    return american ? Language::en_us : Language::en_gb;
  }
  for (const Language language : all_languages) {
    if (primary == tag(language)) return language;
  }
  return std::nullopt;
}

}  // namespace endpin
