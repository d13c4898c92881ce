#include <algorithm>
#include <cctype>
#include <charconv>

#include "endpin/score/unfold.h"

#include "fmt/format.h"

namespace endpin {
namespace {

std::string lower(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return result;
}

std::string shown_name(const Part& part) {
  return part.name.empty() ? "without a name" : part.name;
}

Error no_such_part(const Score& score, std::string_view wanted) {
  std::string there;
  constexpr std::size_t most_named = 12;
  for (std::size_t i = 0; i < std::min(score.parts.size(), most_named); ++i) {
    there += fmt::format("{}{} {}", i == 0 ? "" : ", ", i + 1, shown_name(score.parts[i]));
  }
  if (score.parts.size() > most_named) there += ", …";
  return {ErrorKind::input, "", "", fmt::format("there is no part \"{}\"", wanted),
          fmt::format("The parts are: {}.", there)};
}

bool sounds(const Part& part) {
  return std::any_of(part.bars.begin(), part.bars.end(), [](const Bar& bar) {
    return std::any_of(bar.notes.begin(), bar.notes.end(),
                       [](const Note& n) { return !n.is_rest() && !n.cue && !n.unpitched; });
  });
}

template <typename Matches>
std::optional<int> first(const Score& score, Matches matches) {
  const auto found = std::find_if(score.parts.begin(), score.parts.end(), matches);
  if (found == score.parts.end()) return std::nullopt;
  return static_cast<int>(found - score.parts.begin());
}

std::optional<int> by_number(const Score& score, std::string_view wanted) {
  int number = 0;
  const auto [end, error] = std::from_chars(wanted.data(), wanted.data() + wanted.size(), number);
  const bool all = error == std::errc{} && end == wanted.data() + wanted.size();
  if (!all || number < 1 || number > static_cast<int>(score.parts.size())) return std::nullopt;
  return number - 1;
}

/// The whole name, or else its beginning, or else any part of it.
std::optional<int> by_name(const Score& score, const std::string& wanted) {
  const auto whole = first(score, [&](const Part& p) {
    return lower(p.name) == wanted || lower(p.id) == wanted || lower(p.abbreviation) == wanted;
  });
  if (whole) return whole;
  const auto start = first(score, [&](const Part& p) { return lower(p.name).starts_with(wanted); });
  if (start) return start;
  return first(score,
               [&](const Part& p) { return lower(p.name).find(wanted) != std::string::npos; });
}

}  // namespace

Result<int> choose_part(const Score& score, std::string_view wanted) {
  if (wanted.empty()) {
    const auto bowed =
        first(score, [](const Part& p) { return sounds(p) && !guess_instrument(p).empty(); });
    if (bowed) return *bowed;
    if (const auto any = first(score, sounds)) return *any;
    return Unexpected(Error{ErrorKind::input, "", "", "no note sounds in this score",
                            "Give a score with notes."});
  }
  if (const auto part = by_number(score, wanted)) return *part;
  if (const auto part = by_name(score, lower(wanted))) return *part;
  return Unexpected(no_such_part(score, wanted));
}

}  // namespace endpin
