#include <cmath>

#include <fmt/format.h>

#include "endpin/app/files.h"
#include "endpin/app/score_input.h"
#include "endpin/media/decode.h"

#include "evaluation.h"
#include "onset_errors.h"

namespace endpin::evaluation {
namespace {

using namespace measures;

struct Goals {
  double tolerance_s, at_least;
  std::optional<double> wide_s, wide_at_least;
};

std::filesystem::path find_with_ending(const std::filesystem::path& folder,
                                       std::initializer_list<const char*> endings) {
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    for (const char* ending : endings) {
      if (entry.path().extension() == ending) return entry.path();
    }
  }
  return folder / "nothing";
}

std::vector<Share> shares_within(const std::vector<NoteError>& errors, double tolerance) {
  std::vector<Share> shares;
  for (const auto& e : errors) {
    shares.push_back({e.found && std::abs(e.onset_s) <= tolerance ? 1.0 : 0.0, 1.0});
  }
  return shares;
}

std::vector<Share> offset_shares(const std::vector<NoteError>& errors,
                                 const std::vector<TrueNote>& truth) {
  std::vector<Share> shares;
  for (std::size_t i = 0; i < errors.size(); ++i) {
    if (truth[i].complete) shares.push_back({offset_holds(errors[i]) ? 1.0 : 0.0, 1.0});
  }
  return shares;
}

Figure median_figure(const std::string& on, const std::vector<NoteError>& errors,
                     std::uint64_t seed) {
  auto values = absolute_errors(errors);
  for (auto& v : values) v *= 1000;
  Figure figure{on, "median onset error, bias taken out", 0, "ms", std::nullopt, 0};
  figure.of = "notes";
  figure.n = static_cast<int>(values.size());
  if (values.empty()) return figure;
  figure.value = median(values);
  figure.interval = median_interval(values, seed);
  return figure;
}

void describe(const Recording& r, const Hearing& hearing, const std::vector<NoteError>& errors,
              const Goals& goals, Report& report) {
  const double tolerance = goals.tolerance_s;
  for (std::size_t i = 0; i < errors.size(); ++i) {
    const auto& e = errors[i];
    if (e.found && std::abs(e.onset_s) <= tolerance) continue;
    report.failures.push_back(
        fmt::format("{} note {} (true {:.3f} s, {}): {} {:+.0f} ms |{}", r.name, e.index,
                    r.truth[i].onset.value(), measures::name(e.boundary), endpin::name(e.state),
                    e.found ? 1000 * e.onset_s : NAN,
                    notes_in_words(r.timeline, hearing, e.index - 1, e.index + 1)));
  }
  if (goals.wide_s) return;  // its offsets are estimated themselves
  for (std::size_t i = 0; i < errors.size(); ++i) {
    const auto& e = errors[i];
    if (!e.has_offset || offset_holds(e)) continue;
    report.failures.push_back(fmt::format("{} note {} offset {:+.0f} ms of {:.0f} (true {:.3f})",
                                          r.name, e.index, 1000 * e.offset_s, 1000 * e.length_s,
                                          r.truth[i].offset.value()));
  }
}

void by_class(const std::string& on, const std::vector<NoteError>& errors, double tolerance,
              std::uint64_t seed, Report& report) {
  for (int c = 0; c < boundary_classes; ++c) {
    std::vector<NoteError> own;
    for (const auto& e : errors) {
      if (static_cast<int>(e.boundary) == c) own.push_back(e);
    }
    if (own.empty()) continue;
    report.add(
        share_figure(on,
                     fmt::format("  {} within {:.0f} ms",
                                 measures::name(static_cast<BoundaryClass>(c)), 1000 * tolerance),
                     shares_within(own, tolerance), "notes", seed));
  }
}

void judge(const Recording& r, const Goals& goals, const Settings& settings, Report& report) {
  const auto heard = hear_take(r.timeline, r.audio);
  const auto errors = note_errors(r.timeline, r.truth, heard.hearing.notes);
  auto near = share_figure(r.name, fmt::format("onset within {:.0f} ms", 1000 * goals.tolerance_s),
                           shares_within(errors, goals.tolerance_s), "notes", settings.seed);
  near.at_least = goals.at_least;
  report.add(near);
  if (goals.wide_s) {
    auto wide = share_figure(r.name, fmt::format("onset within {:.0f} ms", 1000 * *goals.wide_s),
                             shares_within(errors, *goals.wide_s), "notes", settings.seed);
    wide.at_least = goals.wide_at_least;
    report.add(wide);
  }
  auto middle = median_figure(r.name, errors, settings.seed);
  if (!goals.wide_s) middle.at_most = 10;
  report.add(middle);
  Figure shift{r.name, "onset bias", 1000 * bias(errors), "ms", std::nullopt, middle.n};
  shift.of = "notes";
  report.add(shift);
  auto offsets = share_figure(r.name, "offset within max(50 ms, 20 %)",
                              offset_shares(errors, r.truth), "notes", settings.seed);
  if (!goals.wide_s) offsets.at_least = 0.97;
  report.add(offsets);
  by_class(r.name, errors, goals.tolerance_s, settings.seed, report);
  Figure speed{r.name, "speed", r.audio.duration().value() / heard.cpu_s, "× real", {}, 1};
  speed.of = "take";
  report.add(speed);
  Figure status{r.name,
                fmt::format("status {}, A4", endpin::name(heard.hearing.status)),
                heard.hearing.reference.a4 ? heard.hearing.reference.a4->value() : 0,
                "Hz",
                {},
                1};
  report.add(status);
  describe(r, heard.hearing, errors, goals, report);
}

}  // namespace

Result<Recording> read_recording(const std::filesystem::path& folder) {
  const auto score =
      app::read_score_input(find_with_ending(folder, {".musicxml", ".mxl"}), {"", 0, "violin"});
  if (!score) return Unexpected(score.error());
  auto audio = decode(find_with_ending(folder, {".wav", ".mp3", ".flac"}).string());
  if (!audio) return Unexpected(audio.error());
  const auto csv = app::read_file(folder / "notes.csv");
  if (!csv) return Unexpected(csv.error());
  auto truth = read_truth(*csv, score->timeline);
  if (!truth) return Unexpected(truth.error());
  return Recording{folder.filename().string(), score->timeline, std::move(audio).value(),
                   std::move(truth).value()};
}

Report recordings_section(const Settings& settings) {
  Report report;
  const std::pair<const char*, Goals> all[] = {
      {"violin-partita", {0.05, 0.94, std::nullopt, std::nullopt}},
      {"violin-double-b-minor", {0.1, 0.99, 0.3, 0.999}}};
  for (const auto& [folder, goals] : all) {
    const auto recording = read_recording(settings.recordings / folder);
    if (!recording) {
      report.failures.push_back(recording.error().line());
      continue;
    }
    judge(*recording, goals, settings, report);
  }
  return report;
}

}  // namespace endpin::evaluation
