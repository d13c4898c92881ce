#include "navigation_words.h"

#include <cctype>
#include <string>

namespace endpin::notation {
namespace {

/// Lower case, points and spaces left out, so that "D. C. al Fine" is "dcalfine".
std::string squeezed(std::string_view text) {
  std::string result;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalpha(byte)) result += static_cast<char>(std::tolower(byte));
  }
  return result;
}

}  // namespace

void apply_navigation_words(std::string_view text, Navigation& navigation) {
  constexpr std::size_t longest = 40;
  if (text.size() > longest) return;
  const std::string words = squeezed(text);
  const auto starts = [&](std::string_view beginning) { return words.starts_with(beginning); };
  if (words == "fine" || words == "ilfine") navigation.fine = true;
  if (words == "dc" || starts("dacapo") || starts("dcal") || starts("dcsenza") ||
      starts("dcfine")) {
    navigation.da_capo = true;
  }
  if (words == "ds" || starts("dalsegno") || starts("dsal") || starts("dssenza") ||
      starts("dsfine")) {
    navigation.dal_segno = true;
  }
  if (starts("tocoda") || words == "alcoda" || words == "allacoda") navigation.to_coda = true;
  if (words == "coda") navigation.coda = true;
  if (words == "segno" || words == "alsegno") navigation.segno = words == "segno";
}

PluckWord pluck_word(std::string_view text) {
  constexpr std::size_t longest = 40;
  if (text.size() > longest) return PluckWord::none;
  const std::string words = squeezed(text);
  if (words.find("pizz") != std::string::npos) return PluckWord::pizzicato;
  const bool arco = words == "arco" || words.ends_with("arco") || words.starts_with("arco");
  return arco || words == "bowed" ? PluckWord::arco : PluckWord::none;
}

}  // namespace endpin::notation
