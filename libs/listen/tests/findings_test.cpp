#include "endpin/listen/findings.h"

#include <algorithm>

#include <gtest/gtest.h>

#include "played.h"

namespace endpin::listen {
namespace {

const std::vector<int> melody{67, 69, 71, 72, 74, 71, 67, 69, 71, 67, 74, 76, 78, 79, 76, 74};

std::vector<Finding> said_of(const Tune& tune, const Recording& r) {
  return findings(hear_one(tune, r), tune.timeline);
}

TEST(Findings, SayNothingToWorkOnOfACleanPlaying) {
  const Tune tune(melody);
  const auto found = said_of(tune, play(tune, all_of(tune)));
  EXPECT_TRUE(work(found).empty()) << found.front().says;
  EXPECT_FALSE(found.empty());  // what went well is said
}

// Property: a share within its error of the limit takes no praise away, a surely shorter one does.
TEST(Findings, PraiseHeldNotesUnlessTheyAreSurelyShorter) {
  const Tune tune(melody);
  Hearing hearing = hear_one(tune, play(tune, all_of(tune)));
  const auto held_with = [&](double ratio, double doubt) {
    for (NoteHearing& n : hearing.notes) {
      n.heard->sounding_ratio = ratio;
      n.heard->sounding_ratio_uncertainty = doubt;
    }
    const auto found = findings(hearing, tune.timeline);
    return std::any_of(found.begin(), found.end(),
                       [](const Finding& f) { return f.kind == FindingKind::held_full; });
  };
  EXPECT_TRUE(held_with(0.84, 0.05));
  EXPECT_FALSE(held_with(0.8, 0.04));
}

TEST(Findings, NameTheForgottenSharp) {
  const Tune tune(melody);
  Tune other(melody);
  other.timeline.notes[12].midi = 77;  // F for F sharp
  const auto found = said_of(tune, play(other, all_of(other)));
  ASSERT_EQ(work(found), std::vector{FindingKind::missed_accidental});
  const auto f = std::find_if(found.begin(), found.end(), [](const Finding& x) {
    return x.kind == FindingKind::missed_accidental;
  });
  EXPECT_EQ(f->notes, std::vector{12});
  EXPECT_EQ(f->bars, std::vector<std::string>{"4"});
  EXPECT_NE(f->says.find("F♯5"), std::string::npos) << f->says;
}

TEST(Findings, SayARestartOnce) {
  const Tune tune(melody);
  const auto found =
      said_of(tune, play(tune, {0, 1, 2, 3, 4, 5, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}));
  EXPECT_EQ(work(found), std::vector{FindingKind::restart});
}

TEST(Findings, SayWhatIsFlatWithItsReference) {
  const Tune tune(melody);
  Recording r(12);
  for (int i = 0; i < 16; ++i) {
    r.add({0.5 + i * 2.0 / 3, 0.6, melody[static_cast<std::size_t>(i)] - (i == 8 ? 0.5 : 0)});
  }
  const auto found = said_of(tune, r);
  ASSERT_EQ(work(found), std::vector{FindingKind::flat});
  for (const Finding& f : found) {
    if (f.kind != FindingKind::flat) continue;
    EXPECT_EQ(f.notes, std::vector{8});
    EXPECT_NE(f.says.find("A4 = 440 Hz"), std::string::npos) << f.says;
  }
}

TEST(Findings, SayTheToneThatIsNotWritten) {
  const Tune tune(melody);
  Recording r(12);
  for (int i = 0; i < 16; ++i) {
    const double at = 0.5 + i * 2.0 / 3, midi = melody[static_cast<std::size_t>(i)];
    r.add({at, i == 8 ? 0.31 : 0.6, midi});
    if (i == 8) r.add({at + 0.33, 0.3, midi - 5});
  }
  const auto found = said_of(tune, r);
  ASSERT_EQ(work(found), std::vector{FindingKind::extra});
  for (const Finding& f : found) {
    if (f.kind != FindingKind::extra) continue;
    EXPECT_EQ(f.notes.front(), 8);
    EXPECT_NE(f.says.find("F♯4"), std::string::npos) << f.says;
  }
}

TEST(Findings, SayAWaitBetweenTwoNotes) {
  const Tune tune(melody);
  Recording r(14);
  for (int i = 0; i < 16; ++i) {
    const double wait = i >= 6 ? 1.5 : 0;
    r.add(
        {0.5 + i * 2.0 / 3 + wait, 0.61, static_cast<double>(melody[static_cast<std::size_t>(i)])});
  }
  EXPECT_EQ(work(said_of(tune, r)), std::vector{FindingKind::hesitation});
}

Hearing with_findings(const Tune& tune, const Recording& r, const FindingOptions& options = {}) {
  Hearing h = hear_one(tune, r);
  add_findings(h, std::span(&tune.timeline, 1), options);
  return h;
}

bool says_clean_at_tempo(const Hearing& h) {
  return std::any_of(h.findings.begin(), h.findings.end(),
                     [](const Finding& f) { return f.kind == FindingKind::clean_at_tempo; });
}

TEST(Findings, SayCleanAtTempoAtTheTempoAskedFor) {
  const Tune tune(melody);
  const Recording at_88 = play(tune, all_of(tune), 60.0 / 88);
  FindingOptions options;
  EXPECT_FALSE(says_clean_at_tempo(with_findings(tune, at_88, options)));  // none was asked for
  options.tempo = Bpm(88);
  const Hearing h = with_findings(tune, at_88, options);
  EXPECT_TRUE(says_clean_at_tempo(h));
  EXPECT_NEAR(h.tempo.clean_bpm.value_or(0), 88, 1);
  options.tempo = Bpm(92);  // one mark faster on the metronome
  EXPECT_FALSE(says_clean_at_tempo(with_findings(tune, at_88, options)));
}

TEST(Findings, MeasureTheCleanTempoWhereBarsAreClean) {
  const Tune tune(melody);
  Tune other(melody);
  for (const std::size_t i : {1U, 6U, 9U, 13U}) other.timeline.notes[i].midi += 1;  // one a bar
  EXPECT_FALSE(with_findings(tune, play(other, all_of(other))).tempo.clean_bpm);
}

TEST(Findings, AreNoneWhenThePieceIsAnother) {
  const Tune tune(melody);
  Hearing h = hear_one(tune, play(tune, all_of(tune)));
  h.status = HearingStatus::wrong_piece;
  EXPECT_TRUE(findings(h, tune.timeline).empty());
}

TEST(Findings, SpeakTheLanguageAskedFor) {
  const Tune tune(melody);
  const Hearing h =
      hear_one(tune, play(tune, {0, 1, 2, 3, 4, 5, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}));
  for (const Finding& f : findings(h, tune.timeline, {"", Language::de})) {
    if (f.kind == FindingKind::restart) {
      EXPECT_NE(f.says.find("Takt"), std::string::npos) << f.says;
    }
    EXPECT_EQ(f.says, says(f, Language::de));
  }
}

}  // namespace
}  // namespace endpin::listen
