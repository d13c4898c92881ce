#include "endpin/words/note_names.h"

#include <array>
#include <utility>

#include <gtest/gtest.h>

namespace endpin {
namespace {

std::string german(const char* text) { return note_name(*SpelledPitch::parse(text), Language::de); }

// German: B natural is H, B flat is B (common practice).
TEST(NoteNames, GermanHasItsOwn) {
  EXPECT_EQ(german("B3"), "H");
  EXPECT_EQ(german("Bb3"), "B");
  EXPECT_EQ(german("Eb3"), "Es");
  EXPECT_EQ(german("Ab3"), "As");
  EXPECT_EQ(german("Db3"), "Des");
  EXPECT_EQ(german("F#3"), "Fis");
}

TEST(NoteNames, RomanceLanguagesSingThem) {
  const SpelledPitch f_sharp = *SpelledPitch::parse("F#3");
  EXPECT_EQ(note_name(f_sharp, Language::it), "fa♯");
  EXPECT_EQ(note_name(f_sharp, Language::pt), "fá♯");
  EXPECT_EQ(note_name_with_octave(f_sharp, Language::en_us), "F♯3");
}

// Common practice; the table of values in seven languages.
TEST(DurationNames, AreThoseOfEachLanguage) {
  struct Row {
    Beats quarters;
    std::array<const char*, 7> names;  // US, UK, DE, FR, ES, IT, PT
  };
  const Row table[] = {
      {Beats(4), {"whole", "semibreve", "Ganze", "ronde", "redonda", "semibreve", "semibreve"}},
      {Beats(2), {"half", "minim", "Halbe", "blanche", "blanca", "minima", "mínima"}},
      {Beats(1), {"quarter", "crotchet", "Viertel", "noire", "negra", "semiminima", "semínima"}},
      {Beats(1, 2), {"eighth", "quaver", "Achtel", "croche", "corchea", "croma", "colcheia"}},
      {Beats(1, 4),
       {"sixteenth", "semiquaver", "Sechzehntel", "double croche", "semicorchea", "semicroma",
        "semicolcheia"}},
      {Beats(1, 8),
       {"thirty-second", "demisemiquaver", "Zweiunddreißigstel", "triple croche", "fusa",
        "biscroma", "fusa"}},
  };
  for (const Row& row : table) {
    for (std::size_t i = 0; i < all_languages.size(); ++i) {
      EXPECT_EQ(duration_name(row.quarters, all_languages[i]), row.names[i]);
    }
  }
}

// From memory, so marked in the list of sources.
TEST(DurationNames, HaveDotsAndRests) {
  EXPECT_EQ(duration_name(Beats(3), Language::en_us), "dotted half");
  EXPECT_EQ(duration_name(Beats(3), Language::en_gb), "dotted minim");
  EXPECT_EQ(duration_name(Beats(3), Language::de), "punktierte Halbe");
  EXPECT_EQ(duration_name(Beats(3), Language::fr), "blanche pointée");
  EXPECT_EQ(duration_name(Beats(3), Language::es), "blanca con puntillo");
  EXPECT_EQ(duration_name(Beats(3), Language::it), "minima col punto");
  EXPECT_EQ(duration_name(Beats(3), Language::pt), "mínima pontuada");
  EXPECT_EQ(rest_name(Beats(2), Language::de), "Halbe Pause");
  EXPECT_EQ(rest_name(Beats(1), Language::de), "Viertelpause");
  EXPECT_EQ(rest_name(Beats(1, 2), Language::de), "Achtelpause");
  EXPECT_EQ(rest_name(Beats(4), Language::fr), "pause");
  EXPECT_EQ(rest_name(Beats(2), Language::fr), "demi-pause");
  EXPECT_EQ(rest_name(Beats(1), Language::fr), "soupir");
  EXPECT_EQ(rest_name(Beats(1, 2), Language::fr), "demi-soupir");
  EXPECT_EQ(rest_name(Beats(1, 4), Language::fr), "quart de soupir");
  EXPECT_EQ(rest_name(Beats(2), Language::es), "silencio de blanca");
  EXPECT_EQ(rest_name(Beats(2), Language::it), "pausa di minima");
  EXPECT_EQ(rest_name(Beats(2), Language::pt), "pausa de mínima");
}

TEST(DurationNames, SayANumberWhereNoSingleValueFits) {
  EXPECT_EQ(duration_name(Beats(5), Language::en_us), "5");
  EXPECT_EQ(duration_key(Beats(1, 3)), "");
}

}  // namespace
}  // namespace endpin
