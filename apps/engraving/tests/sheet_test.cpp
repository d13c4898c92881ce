#include "endpin/engraving/sheet.h"

#include <cstdlib>
#include <filesystem>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "endpin/engraving/pdf.h"

namespace endpin::app {
namespace {

using testing::HasSubstr;
using testing::Not;

Sheet small_sheet() {
  Sheet sheet;
  sheet.document_title = "Ode to Joy";
  sheet.title = "Ode <to> Joy";
  sheet.facts = {{"Key", "G major", {"One sharp: F♯"}, {}}};
  sheet.part = {"<svg viewBox=\"0 0 100 40\"></svg>"};
  sheet.tasks_heading = "To practice";
  sheet.tasks = {{"Bar 4", "its rhythm alone", "", false}};
  sheet.ladder_heading = "Ladder";
  sheet.ladder = {{"♩ = 60", false}, {"♩ = 80", true}};
  sheet.cautions = "If anything hurts, stop.";
  return sheet;
}

// Fonts come with the web packages: see engraving_test.cpp.
class SheetTest : public testing::Test {
 protected:
  void SetUp() override {
    const bool must = std::getenv("CI") != nullptr || std::getenv("ENDPIN_CHECK") != nullptr;
    if (!must &&
        !std::filesystem::exists(ENDPIN_SOURCE_DIR "/web/node_modules/@fontsource/alegreya")) {
      GTEST_SKIP() << "the web packages are not installed: npm --prefix web ci";
    }
  }
};

TEST(HtmlText, EscapesAndDrawsWhatTextFontsLack) {
  EXPECT_EQ(html_text("a < b & \"c\""), "a &lt; b &amp; &quot;c&quot;");
  EXPECT_THAT(html_text("F♯"), HasSubstr("F<svg"));
  EXPECT_THAT(html_text("♩ = 60"), HasSubstr("aria-label=\"♩\""));
}

TEST_F(SheetTest, AsksForNoOtherFile) {
  const auto html = sheet_html(small_sheet());
  ASSERT_TRUE(html) << html.error().line();
  EXPECT_THAT(*html, HasSubstr("<h1>Ode &lt;to&gt; Joy</h1>"));
  EXPECT_THAT(*html, Not(HasSubstr("http")));
  EXPECT_THAT(*html, Not(HasSubstr("url(\"")));
}

TEST_F(SheetTest, IsOnePagePrintedToTheSameBytesTwice) {
  const auto html = sheet_html(small_sheet());
  ASSERT_TRUE(html) << html.error().line();
  const auto first = print_pdf(*html, "2026-03-01");
  ASSERT_TRUE(first) << first.error().line();
  EXPECT_EQ(page_count(*first), 1);
  EXPECT_THAT(*first, HasSubstr("/CreationDate (D:20260301000000+00'00')"));
  EXPECT_THAT(*first, HasSubstr("/Title (Ode to Joy)"));
  EXPECT_THAT(*first, HasSubstr("/FontFile2"));
  EXPECT_EQ(*first, print_pdf(*html, "2026-03-01").value());
}

TEST_F(SheetTest, PutsThePracticeOnASecondPageWhenAskedTo) {
  Sheet sheet = small_sheet();
  sheet.practice_on_new_page = true;
  sheet.paper = Paper::letter;
  const auto pdf = print_pdf(*sheet_html(sheet), "2026-03-01");
  ASSERT_TRUE(pdf) << pdf.error().line();
  EXPECT_EQ(page_count(*pdf), 2);
}

TEST_F(SheetTest, StopsPrintingAtItsTimeLimit) {
  const auto pdf = print_pdf(*sheet_html(small_sheet()), "2026-03-01", Seconds(0.05));
  ASSERT_FALSE(pdf);
  EXPECT_EQ(pdf.error().kind, ErrorKind::machine);
}

}  // namespace
}  // namespace endpin::app
