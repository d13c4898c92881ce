#pragma once

#include <array>
#include <optional>
#include <string_view>

namespace endpin {

/// The languages that a reader may be addressed in.
enum class Language { en_us, en_gb, de, fr, es, it, pt };

inline constexpr std::array<Language, 7> all_languages{
    Language::en_us, Language::en_gb, Language::de, Language::fr,
    Language::es,    Language::it,    Language::pt};

/// The tag of RFC 5646: "en-US", "en-GB", "de", "fr", "es", "it", "pt".
std::string_view tag(Language language);

/// The language that `tag` asks for, in any case, region or not: "de-AT" is `de`, "en" is `en_us`,
/// "en-AU" is `en_gb`. Nothing for a language that there is no catalogue of.
std::optional<Language> find_language(std::string_view tag);

}  // namespace endpin
