#include "align/run_search.h"

#include <algorithm>
#include <utility>

#include <gtest/gtest.h>

#include "seen.h"

namespace endpin::listen {
namespace {

// A tune at 90 as it was played, with what each stage before the second pass says.
class Heard {
 public:
  explicit Heard(const std::vector<int>& midi, Evidence uses = {})
      : Heard(Tune(midi), play(Tune(midi), all_of(Tune(midi))), uses) {}
  Heard(Tune tune, Recording recording, Evidence uses = {})
      : tune_(std::move(tune)), recording_(std::move(recording)), seen_(tune_, recording_, uses) {
    std::vector<Placed> placed;
    for (const TimelineNote& n : tune_.timeline.notes) {
      const double onset = 0.5 + beat_s * n.onset.to_double();
      placed.push_back(
          {n.index, onset, onset + beat_s * n.duration.to_double(), false, false, false});
    }
    run_ = stages_of(seen_.score(), placed, seen_.sound().step_s, seen_.sound().onset.size());
    search_run(seen_.score(), seen_.observations(), run_);
  }

  const std::vector<Stage>& stages() const { return run_.stages; }
  void expect(std::size_t k, double seconds) {
    changed_.resize(run_.stages.size());
    changed_[k] = true;
    run_.stages[k].expected_s = seconds;
  }
  void search() { search_run(seen_.score(), seen_.observations(), run_); }
  void search_again() { search_run_again(seen_.score(), seen_.observations(), changed_, run_); }
  double total() const {
    const auto& last = run_.stages.back().forward;
    return static_cast<double>(*std::max_element(last.begin(), last.end()));
  }
  std::vector<float> between(std::size_t k, int from, int to) {
    return beginnings_between(seen_.score(), seen_.observations(), run_, k, from, to);
  }

 private:
  Tune tune_;
  Recording recording_;
  Seen seen_;
  Run run_;
  std::vector<bool> changed_;
};

float furthest_apart(const std::vector<float>& a, const std::vector<float>& b, float least) {
  float most = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (std::max(a[i], b[i]) > least) most = std::max(most, std::abs(a[i] - b[i]));
  }
  return most;
}

TEST(RunSearch, BothDirectionsAgreeOnTheBestWay) {
  const Heard heard({67, 69, 69, 71, 74, 66});
  for (std::size_t k = 0; k + 1 < heard.stages().size(); ++k) {
    const Stage& s = heard.stages()[k];
    float best = unreached;
    for (std::size_t i = 0; i < s.forward.size(); ++i) {
      best = std::max(best, s.forward[i] + s.backward[i]);
    }
    EXPECT_NEAR(static_cast<double>(best), heard.total(), 0.01) << k;
  }
}

// A tone that is put in after a long note costs what a fault does: the note goes on to be one.
TEST(RunSearch, ATonePutInIsNotPaidForByTheNoteBeforeIt) {
  Tune tune({67, 69, 71, 72, 74, 66});
  auto& notes = tune.timeline.notes;
  notes[2].duration = Beats(4);
  for (std::size_t i = 3; i < notes.size(); ++i) notes[i].onset = notes[i].onset + Beats(3);
  const auto played = [&](int at_its_end) {
    Recording r(0.5 + 9 * beat_s + 0.7);
    for (const TimelineNote& n : notes) {
      const double at = 0.5 + beat_s * n.onset.to_double();
      const double own = beat_s * n.duration.to_double() - (n.index == 2 ? 0.5 : 0.05);
      r.add({at, own, static_cast<double>(n.midi)});
      if (n.index == 2) r.add({at + own, 0.45, static_cast<double>(at_its_end)});
    }
    return r;
  };
  const Heard again(tune, played(71)), put_in(tune, played(64));
  EXPECT_LT(again.total() - put_in.total(), 12);
}

// Two pairs of a long run are expected in another rhythm, far from each other and from the ends.
TEST(RunSearch, SearchedAgainWhereItChangedIsAsSearchedAnew) {
  std::vector<int> melody;
  for (int i = 0; i < 40; ++i) melody.push_back(60 + (7 * i) % 12);
  Heard again(melody), anew(melody);
  for (Heard* heard : {&again, &anew}) {
    const double quarter = heard->stages()[8].expected_s;
    for (const std::size_t k : {8U, 24U}) {
      heard->expect(k, 1.5 * quarter);
      heard->expect(k + 1, 0.5 * quarter);
    }
  }
  const double before = again.total();
  again.search_again();
  anew.search();
  EXPECT_LT(again.total(), before - 1);
  EXPECT_NEAR(again.total(), anew.total(), 0.02);
  for (std::size_t k = 0; k < anew.stages().size(); ++k) {
    const Stage &a = again.stages()[k], &b = anew.stages()[k];
    constexpr float likely = 25;  // less than the beam: what lies lower is hardly followed
    const float top = *std::max_element(b.forward.begin(), b.forward.end());
    EXPECT_LT(furthest_apart(a.forward, b.forward, top - likely), 0.05F) << k;
    for (std::size_t i = 0; i < b.forward.size(); ++i) {
      if (b.forward[i] < top - likely) continue;
      EXPECT_NEAR(a.backward[i], b.backward[i], 0.05F) << k;
      EXPECT_EQ(a.best_before[i], b.best_before[i]) << k;
      EXPECT_EQ(a.over[i], b.over[i]) << k;
    }
  }
}

// The search goes through rows of frames at once, beginnings_between frame by frame: every
// beginning of the first of two notes, and for each every one of the second.
TEST(RunSearch, FindsWhatTryingEveryPairOfBeginningsFinds) {
  Evidence uses;
  uses.durations = false;
  Heard heard({67, 71}, uses);
  const Stage &first = heard.stages()[0], &second = heard.stages()[1];
  const int end = heard.stages()[2].from, shortest = 6;
  float best = unreached;
  for (int from = first.from; from <= first.to; ++from) {
    const auto likely = heard.between(1, from, end);
    for (int at = std::max(second.from, from + shortest); at <= std::min(second.to, end - 1);
         ++at) {
      best = std::max(best, first.begins[static_cast<std::size_t>(from - first.from)] +
                                likely[static_cast<std::size_t>(at - from)]);
    }
  }
  EXPECT_NEAR(static_cast<double>(best), heard.total(), 0.01);
}

}  // namespace
}  // namespace endpin::listen
