#include "endpin/study/form.h"

#include <chrono>
#include <string>

#include <gtest/gtest.h>

#include "endpin/notation/read.h"
#include "endpin/score/unfold.h"

namespace endpin {
namespace {

Form form_of(const std::string& abc) {
  const auto score = read_score("X:1\nT:form\nM:4/4\nL:1/4\n" + abc + "\n");
  return find_form(*timeline(*score, 0, "violin"));
}

// Ode to Joy (Beethoven): the second phrase ends otherwise, the third is new, the fourth is the
// second once more.
TEST(Form, OfOdeToJoy) {
  const Form form = form_of(
      "K:D\nF F G A|A G F E|D D E F|F>E E2|F F G A|A G F E|D D E F|E>D D2|"
      "E E F D|E F/G/ F D|E F/G/ F E|D E A,2|F F G A|A G F E|D D E F|E>D D2|");
  EXPECT_EQ(form.map, "A A′ B A′");
  ASSERT_EQ(form.phrases.size(), 4u);
  EXPECT_EQ(form.phrases[2].from, "9");
  EXPECT_EQ(form.phrases[2].to, "12");
}

TEST(Form, KeepsPhrasesInsideRepeats) {
  const Form form =
      form_of("K:G\n|:G A B c|d B G2|G A B c|A F G2:||:d e d c|B A G2|d e d c|A F G2:|");
  EXPECT_EQ(form.map, "A B");
  ASSERT_EQ(form.phrases.size(), 2u);
  EXPECT_EQ(form.phrases[0].times, 2);
  EXPECT_EQ(form.phrases[0].to, "4");
  EXPECT_EQ(form.phrases[1].from, "5");
}

TEST(Form, FindsBarsThatComeBackAcrossPhrases) {
  const Form form = form_of("K:G\nG A B c|d B G2|c B A G|F2 D2|G A B c|d B G2|A A A2|G4|");
  ASSERT_FALSE(form.returns.empty());
  EXPECT_EQ(form.returns[0].from, "5");
  EXPECT_EQ(form.returns[0].to, "6");
  EXPECT_EQ(form.returns[0].like_from, "1");
}

TEST(Form, CoversEveryBarOnceInOrder) {
  for (int bars = 1; bars <= 40; ++bars) {
    std::string abc = "K:C\n";
    for (int b = 0; b < bars; ++b) abc += b % 7 < 3 ? "C D E F|" : b % 5 == 0 ? "G4|" : "A B c A|";
    const Form form = form_of(abc);
    int next = 0;
    for (const FormPhrase& phrase : form.phrases) {
      EXPECT_EQ(phrase.first_bar, next);
      EXPECT_GE(phrase.last_bar, phrase.first_bar);
      next = phrase.last_bar + 1;
    }
    EXPECT_EQ(next, bars);
  }
}

// A phrase and its upbeat stay together.
TEST(Form, LetsAnUpbeatLeadIn) {
  const Form form = form_of("K:G\nD|G2 B A|B2 d c|B2 A2|G3 D|G2 B A|B2 d c|B2 A2|G3|");
  ASSERT_EQ(form.phrases.size(), 2u);
  EXPECT_EQ(form.phrases[0].first_bar, 0);  // the upbeat
  EXPECT_EQ(form.phrases[0].last_bar - form.phrases[0].first_bar, 4);
  EXPECT_EQ(form.phrases[1].last_bar - form.phrases[1].first_bar, 3);
  EXPECT_EQ(form.map, "A A′");  // the first close leads on, the second rests
}

}  // namespace
}  // namespace endpin
