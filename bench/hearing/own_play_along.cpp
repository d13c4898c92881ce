#include <cmath>

#include <fmt/format.h>

#include "endpin/app/score_input.h"
#include "endpin/perform/fluid_sounds.h"
#include "endpin/perform/perform.h"
#include "endpin/perform/tone_bank.h"

#include "evaluation.h"

namespace endpin::evaluation {
namespace {

using namespace measures;

struct Tally {
  std::vector<Share> heard, in_time, in_tune, falsely;
};

void judge(const std::string& name, const Timeline& timeline, const std::string& instrument,
           Tally& tally, Report& report) {
  auto sounds = FluidSounds::open(instrument);
  if (!sounds) return report.failures.push_back(sounds.error().line());
  ToneBank tones(**sounds);
  const auto played = perform(timeline, {}, tones);
  if (!played) return report.failures.push_back(played.error().line());
  const auto hearing = hear_take(timeline, played->audio).hearing;
  Share heard{0, 0};
  Share in_time{0, 0};
  Share in_tune{0, 0};
  for (const auto& note : hearing.notes) {
    const double start = played->notes[static_cast<std::size_t>(note.index)].start.value();
    const bool found = note.heard && note.state == NoteState::heard;
    const double late = found ? note.heard->onset.value() - start : 1;
    const bool tuned =
        found && note.heard->intonation && std::abs(note.heard->intonation->value()) < 10;
    heard.cases += 1;
    in_time.cases += 1;
    in_tune.cases += 1;
    heard.hits += found ? 1 : 0;
    in_time.hits += std::abs(late) <= 0.02 ? 1 : 0;
    in_tune.hits += tuned ? 1 : 0;
    if (found && std::abs(late) <= 0.02 && tuned) continue;
    report.failures.push_back(
        fmt::format("OWN PLAY-ALONG {} note {} true {:.3f} s |{}", name, note.index, start,
                    notes_in_words(timeline, hearing, note.index - 1, note.index + 1)));
  }
  tally.heard.push_back(heard);
  tally.in_time.push_back(in_time);
  tally.in_tune.push_back(in_tune);
  double false_ones = 0;
  for (const auto& f : hearing.findings) {
    if (tone(f.kind) != Tone::work) continue;
    false_ones += 1;
    report.failures.push_back(fmt::format("OWN PLAY-ALONG {}: {}", name, in_words(f)));
  }
  tally.falsely.push_back({false_ones > 0 ? 1.0 : 0.0, 1.0});
}

}  // namespace

/// What `endpin play` makes, heard again: the demo's tunes and tunes of chance.
Report own_play_along_section(const Settings& settings, const Studio& studio) {
  Report report;
  Tally tally;
  const auto pieces = std::filesystem::path(ENDPIN_SOURCE_DIR) / "demo/pieces";
  for (const auto& entry : std::filesystem::directory_iterator(pieces)) {
    const auto score = app::read_score_input(entry.path(), {});
    if (!score) continue;
    judge(entry.path().stem().string(), score->timeline, score->instrument, tally, report);
  }
  for (int i = 0; i < settings.count(4, 40); ++i) {
    static const char* instruments[] = {"cello", "violin", "viola", "bass"};
    TakeOptions options;
    options.instrument = instruments[i % 4];
    const auto tune = studio.tune(options, settings.seed * 1000 + static_cast<unsigned>(i));
    judge(fmt::format("{} {}", options.instrument, i), tune, options.instrument, tally, report);
  }
  const char* on = "own play-along";
  const std::tuple<const char*, const std::vector<Share>*> rows[] = {
      {"heard", &tally.heard},
      {"onset within 20 ms", &tally.in_time},
      {"within 10 cents", &tally.in_tune}};
  for (const auto& [what, shares] : rows) {
    auto figure = share_figure(on, what, *shares, "notes", settings.seed);
    figure.at_least = 1;
    report.add(figure);
  }
  auto falsely = share_figure(on, "takes with a finding", tally.falsely, "takes", settings.seed);
  falsely.at_most = 0;
  report.add(falsely);
  return report;
}

}  // namespace endpin::evaluation
