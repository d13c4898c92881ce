#include <gtest/gtest.h>

#include "endpin/notation/read.h"
#include "endpin/notation/write.h"

#include "score_generator.h"

namespace endpin {
namespace {

Score without_lines(Score score) {
  score.warnings.clear();
  for (Part& part : score.parts) {
    for (Bar& bar : part.bars) {
      bar.line = 0;
      for (Note& note : bar.notes) note.line = 0;
    }
  }
  return score;
}

void expect_same(const Bar& read, const Bar& written) {
  ASSERT_EQ(read.notes.size(), written.notes.size());
  for (std::size_t n = 0; n < written.notes.size(); ++n) {
    EXPECT_TRUE(read.notes[n] == written.notes[n]) << written.notes[n].id;
  }
  EXPECT_TRUE(read.navigation == written.navigation);
  EXPECT_TRUE(read.directions == written.directions);
  EXPECT_TRUE(read.changes == written.changes);
  EXPECT_TRUE(read == written);
}

void expect_same(const Score& read, const Score& written) {
  ASSERT_EQ(read.parts.size(), written.parts.size());
  for (std::size_t p = 0; p < written.parts.size(); ++p) {
    ASSERT_EQ(read.parts[p].bars.size(), written.parts[p].bars.size());
    for (std::size_t b = 0; b < written.parts[p].bars.size(); ++b) {
      SCOPED_TRACE("part " + std::to_string(p) + " bar " + std::to_string(b));
      expect_same(read.parts[p].bars[b], written.parts[p].bars[b]);
    }
  }
  EXPECT_TRUE(read == written);
}

TEST(MusicXmlRoundTrip, GivesEveryGeneratedScoreBack) {
  for (unsigned seed = 0; seed < 300; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const Score score = test::generated_score(seed);
    const std::string text = write_musicxml(score);
    const auto again = read_score(text);
    ASSERT_TRUE(again) << again.error().line();
    const Score same = without_lines(*again);
    expect_same(same, score);
    EXPECT_TRUE(write_musicxml(same) == text);
    if (HasFailure()) return;
  }
}

}  // namespace
}  // namespace endpin
