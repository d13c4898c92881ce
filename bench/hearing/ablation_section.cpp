#include <functional>
#include <map>
#include <memory>

#include <fmt/format.h>

#include "features/onset_evidence.h"
#include "oracle.h"
#include "stage_tally.h"

namespace endpin::evaluation {
namespace {

using namespace listen;

/// No beginning stands out by its flux.
struct WithoutFlux : BetweenStages {
  void features(SoundFeatures& sound) override {
    for (auto& frame : sound.onset) frame.flux_db = 1;
    sound.onset_evidence = onset_evidence(sound.onset, sound.step_s);
  }
};

/// Events stay where the coarse path put them.
class WithoutSecondPass : public BetweenStages {
 public:
  void path(const ScoreModel&, std::span<const Candidate>, Path& path) override { path_ = path; }
  void events(const ScoreModel& score, const Observations& seen,
              std::vector<Fine>& events) override {
    events = as_placed(score, seen, path_);
  }

 private:
  Path path_;
};

/// A measure of the bow is not known to the verdicts.
template <auto measure>
struct WithoutMeasure : BetweenStages {
  void notes(const Aligned&, Hearing& hearing) override {
    for (NoteHearing& n : hearing.notes) {
      if (n.heard) ((*n.heard).*measure).reset();
    }
  }
};

struct Ablation {
  const char* what;
  std::function<void(StagedOptions&)> leave_out;
  std::function<std::unique_ptr<BetweenStages>()> between;
};

Ablation without(const char* what, bool Evidence::*kind) {
  return {what, [kind](StagedOptions& options) { options.evidence.*kind = false; }, {}};
}

template <typename Stages>
Ablation without(const char* what) {
  return {what, {}, [] { return std::make_unique<Stages>(); }};
}

std::vector<Ablation> ablations() {
  return {
      without("long window for low notes", &Evidence::long_window),
      without("overtones of the comb", &Evidence::overtones),
      without("what lies between harmonics", &Evidence::between),
      without("support beside salience", &Evidence::support),
      {"tuning (A4 taken for 440)", [](StagedOptions& options) { options.a4 = standard_a4; }, {}},
      without<WithoutFlux>("flux"),
      without("rise of the note's own partials", &Evidence::own_rise),
      {"flux and rise together", [](StagedOptions& options) { options.evidence.own_rise = false; },
       [] { return std::make_unique<WithoutFlux>(); }},
      without("change of pitch", &Evidence::pitch_change),
      without("what rings into a beginning", &Evidence::rings_into),
      without("soft beginnings", &Evidence::swelling),
      without("what dies away", &Evidence::ringing),
      without("dying away, partial by partial", &Evidence::fading),
      without("written durations", &Evidence::durations),
      without("other rhythms read again", &Evidence::readings),
      without("jumps", &Evidence::jumps),
      without("dropping doubtful runs", &Evidence::doubtful_runs),
      without<WithoutSecondPass>("second pass"),
      without("end of its own partials", &Evidence::tone_end),
      without("knowing company", &Evidence::company),
      without("own partials against wrong", &Evidence::own_partials),
      without("neighbours found", &Evidence::neighbours),
      without("what may sound is not missed", &Evidence::may_sound),
      without<WithoutMeasure<&HeardNote::dip>>("dip of level, in verdicts"),
      without<WithoutMeasure<&HeardNote::attack>>("attack, in verdicts"),
      without<WithoutMeasure<&HeardNote::fall>>("fall before the next, in verdicts"),
  };
}

Hearing heard_without(const Ablation& ablation, const Take& take) {
  StagedOptions options;
  if (ablation.leave_out) ablation.leave_out(options);
  const auto between = ablation.between ? ablation.between() : nullptr;
  options.between = between.get();
  return hear_staged_take(take.timeline, take.audio, options);
}

/// The same takes with all evidence, and without each.
struct Tallies {
  StageTally all;
  std::vector<StageTally> without;
};

void add_differences(const std::string& group, const Tallies& tallies,
                     const std::vector<Ablation>& left_out, const Settings& settings,
                     Report& report) {
  add_stage_figures(fmt::format("ablation, {}: all evidence", group), tallies.all, settings,
                    report);
  for (const auto& by : compared) {
    for (std::size_t i = 0; i < left_out.size(); ++i) {
      auto figure = difference_figure(fmt::format("ablation, {}: {} without", group, by.what), by,
                                      tallies.all, tallies.without[i], settings.seed);
      figure.what = left_out[i].what;
      if (figure.n > 0) report.add(figure);
    }
  }
}

// Conditions alike are told together: what they have in common is what is asked.
std::string coarser(const std::string& group) {
  return group.starts_with("right") && !group.ends_with("as loud") ? "right, one player" : group;
}

}  // namespace

/// What each kind of evidence adds: by how much every figure changes where it alone is left out.
Report ablation_section(const Settings& settings, const Studio& studio) {
  Report report;
  const auto left_out = ablations();
  std::map<std::string, Tallies> tallies;
  each_stage_take(settings, studio, settings.takes.value_or(settings.count(2, 20)),
                  [&](const std::string& group, const Take& take) {
                    Tallies& own = tallies[coarser(group)];
                    own.without.resize(left_out.size());
                    count_stage(take, hear_staged_take(take.timeline, take.audio, {}), own.all);
                    for (std::size_t i = 0; i < left_out.size(); ++i) {
                      count_stage(take, heard_without(left_out[i], take), own.without[i]);
                    }
                  });
  for (const auto& [group, tally] : tallies) {
    add_differences(group, tally, left_out, settings, report);
  }
  return report;
}

}  // namespace endpin::evaluation
