#pragma once

#include <string>
#include <vector>

#include "endpin/timeline/timeline.h"

namespace endpin {

/// A phrase: bars that belong together. Phrases that are alike have one letter.
struct FormPhrase {
  std::string letter;  ///< "A", "B" … "Z", "A2" …
  int variant = 0;     ///< 0 where it is the letter's first or the same; 1: A′, 2: A″ …
  std::string from;    ///< printed numbers of its first whole bar and its last
  std::string to;
  int first_bar = 0;  ///< its places in the part, with its upbeat
  int last_bar = 0;
  int times = 1;  ///< how often it is played in a row, because of a repeat
};

/// Bars that come back as they were, whatever the phrases.
struct ReturningBars {
  std::string from;
  std::string to;
  std::string like_from;
  std::string like_to;
  int bars = 0;
};

struct Form {
  std::vector<FormPhrase> phrases;
  std::vector<ReturningBars> returns;  ///< longest first; two bars or more
  std::string map;                     ///< "A A′ B A′"
};

/// "A′": the letter with a stroke for each variant.
std::string phrase_name(const FormPhrase& phrase);

/// Cuts a part into phrases (a dynamic programme over where it repeats, rests and comes back, with
/// four bars as the usual length; costs are ours) and gives like ones a letter. The bars are those
/// written, in the order of first playing. O(bars · occurrences of a bar, 16 at most).
Form find_form(const Timeline& timeline);

}  // namespace endpin
