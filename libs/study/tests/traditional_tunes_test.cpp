#include <cstdio>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "endpin/notation/read.h"
#include "endpin/score/unfold.h"
#include "endpin/study/key.h"

namespace endpin {
namespace {

// The tunes of tests/tunes/traditional.abc, with the key that their players name.
struct Tune {
  std::string title;
  Timeline timeline;
  Key key;
};

Mode mode_named(const std::string& word) {
  for (int mode = 0; mode <= static_cast<int>(Mode::locrian); ++mode) {
    if (name(static_cast<Mode>(mode)) == word) return static_cast<Mode>(mode);
  }
  return Mode::major;
}

std::string tune_book() {
  std::ifstream file(ENDPIN_SOURCE_DIR "/libs/study/tests/tunes/traditional.abc");
  std::stringstream bytes;
  bytes << file.rdbuf();
  return bytes.str();
}

std::vector<Tune> tunes() {
  const std::string book = tune_book();
  std::vector<Tune> list;
  for (int number = 1; number <= 60; ++number) {
    ReadOptions options;
    options.tune = number;
    const auto score = read_score(book, options);
    if (!score) continue;
    const KeySignature& signature = score->parts[0].bars[0].changes[0].key;
    Tune tune{score->title, *timeline(*score, 0, "violin"), {{}, mode_named(signature.mode)}};
    const Key major{from_line_of_fifths(0, 4), tune.key.mode};
    tune.key.tonic = from_line_of_fifths(signature.fifths - major.fifths(), 4);
    list.push_back(std::move(tune));
  }
  return list;
}

// What kind of mistake `found` is.
std::string confusion(const Key& declared, const Key& found) {
  const int apart = ((found.tonic.midi() - declared.tonic.midi()) % 12 + 12) % 12;
  const bool same_class = is_minor(declared.mode) == is_minor(found.mode);
  if (apart == 0) return same_class ? "right" : "parallel";
  if (!same_class && apart == (is_minor(declared.mode) ? 3 : 9)) return "relative";
  if (apart == 7 || apart == 5) return "dominant";
  return "other";
}

struct Agreement {
  std::map<std::string, int> kinds;
  int all = 0;
  double right() const { return all == 0 ? 0 : double(kinds.at("right")) / all; }
};

template <typename Finder>
Agreement agreement(const Finder& find) {
  Agreement result;
  for (const Tune& tune : tunes()) {
    const Key found = find(tune);
    const std::string kind = confusion(tune.key, found);
    ++result.kinds[kind];
    ++result.all;
    if (kind != "right") {
      std::printf("  %s: %s %s, found %s %s (%s)\n", tune.title.c_str(),
                  tune.key.tonic.text().c_str(), std::string(name(tune.key.mode)).c_str(),
                  found.tonic.text().c_str(), std::string(name(found.mode)).c_str(), kind.c_str());
    }
  }
  for (const auto& [kind, count] : result.kinds) std::printf("  %s %d\n", kind.c_str(), count);
  return result;
}

// Tonic and mode class of traditional tunes, from signature and notes alone. Several of them end on
// another degree than the tonic, as dances do that go round.
TEST(KeyOfTraditionalTunes, IsFoundFromSignatureAndNotes) {
  const Agreement a = agreement([](const Tune& tune) { return find_key(tune.timeline).key; });
  EXPECT_GE(a.all, 55);
  EXPECT_GE(a.right(), 0.95);
}

TEST(KeyOfTraditionalTunes, IsFoundFromTheFilesWordToo) {
  const Agreement a =
      agreement([](const Tune& tune) { return find_key(tune.timeline, name(tune.key.mode)).key; });
  EXPECT_GE(a.right(), 0.98);
}

// Many programs write "major" into every file.
TEST(KeyOfTraditionalTunes, IsNotHiddenByAMajorThatIsOnlyTheDefault) {
  int minor = 0;
  int right = 0;
  for (const Tune& tune : tunes()) {
    if (!is_minor(tune.key.mode)) continue;
    ++minor;
    right += confusion(tune.key, find_key(tune.timeline, "major").key) == "right" ? 1 : 0;
  }
  std::printf("  %d of %d\n", right, minor);
  EXPECT_GE(minor, 20);
  EXPECT_GE(right, 0.9 * minor);
}

// The first strain alone, as a page may end after it.
TEST(KeyOfTraditionalTunes, IsMostlyFoundFromHalfATune) {
  const Agreement a = agreement([](const Tune& tune) {
    Timeline half = tune.timeline;
    half.bars.resize((half.bars.size() + 1) / 2);
    const Beats end = half.bars.back().start + half.bars.back().length;
    std::erase_if(half.notes, [&](const TimelineNote& note) { return note.onset >= end; });
    return find_key(half).key;
  });
  EXPECT_GE(a.right(), 0.9);
}

}  // namespace
}  // namespace endpin
