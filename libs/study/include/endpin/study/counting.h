#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/pitch.h"
#include "endpin/timeline/timeline.h"
#include "endpin/words/sentence.h"

namespace endpin {

/// How a class counts aloud. The syllables are data (`counting.def` says which place gets which,
/// data/catalogue/counting says them in each language); the choice is the teacher's.
struct CountingScheme {
  std::string_view id;  ///< "numbers", "takadimi", "ta-titi"
};
std::span<const CountingScheme> counting_schemes();
/// "numbers" where `id` is empty; nothing for one that there is none of.
const CountingScheme* find_counting_scheme(std::string_view id);

/// What is said at one place of a bar.
struct CountedPlace {
  enum class Kind {
    note,  ///< a note begins
    held,  ///< a beat passes while a note sounds on
    rest   ///< a beat passes in silence
  };
  Beats at;       ///< in the bar, quarters
  Sentence says;  ///< one syllable
  Kind kind = Kind::note;
  std::vector<std::string> notes;  ///< ids of the notes that begin here
  std::vector<SpelledPitch> pitches;
};

struct CountedBar {
  std::string bar;  ///< printed number
  std::vector<CountedPlace> places;
  double difficulty = 0;  ///< of its rhythm; 0 where all is on the beats and alike
};

struct Counting {
  std::string scheme;
  std::vector<CountedBar> bars;        ///< each written bar once
  std::optional<std::size_t> hardest;  ///< in `bars`; none where every bar is plain
};

/// Counts each bar in its metre: compound ones in beats of three unless the beat unit is the small
/// note, a pickup with the last beats of its bar. O(notes).
Counting count_bars(const Timeline& timeline, std::string_view scheme = {});

std::string_view name(CountedPlace::Kind kind);

/// The bar in two lines, the syllables under their notes; beats held in round brackets, beats of
/// rest in square ones.
std::string describe(const CountedBar& bar, Language language);

}  // namespace endpin
