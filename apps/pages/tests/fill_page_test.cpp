#include "endpin/pages/fill_page.h"

#include <gtest/gtest.h>

#include "base64.h"

namespace endpin::app {
namespace {

const std::string page =
    R"(<html lang="en"><title>Endpin</title><main><!--without-script--></main>)"
    R"(<script type="application/json" id="data">null</script></html>)";

TEST(FillPage, PutsDataTitleAndLanguageInTheirPlaces) {
  const auto filled = fill_page_text(page, {"A & B", "de", R"({"a":1})", "<p>Ohne</p>"});
  ASSERT_TRUE(filled) << filled.error().line();
  EXPECT_EQ(*filled, R"(<html lang="de"><title>A &amp; B</title><main><p>Ohne</p></main>)"
                     R"(<script type="application/json" id="data">{"a":1}</script></html>)");
}

TEST(FillPage, LetsNoDataEndTheScriptElement) {
  const auto filled = fill_page_text(page, {"", "en", R"({"a":"</script><script>x"})", ""});
  ASSERT_TRUE(filled);
  EXPECT_EQ(filled->find("</script><script>x"), std::string::npos);
  EXPECT_NE(filled->find(R"({"a":"\u003c/script>\u003cscript>x"})"), std::string::npos);
}

TEST(FillPage, RefusesAPageWithoutAPlaceForData) {
  const auto filled = fill_page_text("<html></html>", {"", "en", "{}", ""});
  ASSERT_FALSE(filled);
  EXPECT_EQ(filled.error().kind, ErrorKind::machine);
}

// RFC 4648, section 10.
TEST(Base64, WritesTheVectorsOfItsStandard) {
  EXPECT_EQ(base64(""), "");
  EXPECT_EQ(base64("f"), "Zg==");
  EXPECT_EQ(base64("fo"), "Zm8=");
  EXPECT_EQ(base64("foo"), "Zm9v");
  EXPECT_EQ(base64("foob"), "Zm9vYg==");
  EXPECT_EQ(base64("fooba"), "Zm9vYmE=");
  EXPECT_EQ(base64("foobar"), "Zm9vYmFy");
}

}  // namespace
}  // namespace endpin::app
