// endpin hear SCORE… RECORDING: what was played, note by note, and what is worth saying about it.
#include <cmath>
#include <filesystem>
#include <optional>

#include <CLI/CLI.hpp>
#include <fmt/core.h>

#include "endpin/app/decode_in_child.h"
#include "endpin/app/files.h"
#include "endpin/app/score_input.h"
#include "endpin/book/upload.h"
#include "endpin/listen/findings.h"
#include "endpin/listen/listen.h"
#include "endpin/pages/report.h"

#include "command.h"

namespace endpin::cli {
namespace {

struct HearWords {
  std::vector<std::string> files;
  std::optional<double> tempo;
  std::optional<double> a4;
  std::string bars;
  std::string backing;
  std::optional<double> backing_at;
  bool json = false;
  std::string report;
};

Unexpected usage(std::string what, std::string remedy) {
  return Unexpected(Error{ErrorKind::usage, "endpin hear", "", std::move(what), std::move(remedy)});
}

Result<std::optional<BarRange>> bar_range(const std::string& text) {
  if (text.empty()) return std::optional<BarRange>();
  const auto dash = text.find('-');
  if (dash == std::string::npos) return std::optional(BarRange{text, text});
  if (dash == 0 || dash + 1 == text.size()) {
    return usage("--bars takes one bar or two, not " + text, "Write --bars 5 or --bars 5-8.");
  }
  return std::optional(BarRange{text.substr(0, dash), text.substr(dash + 1)});
}

Result<HearOptions> options_from(const HearWords& words) {
  HearOptions options;
  if (words.tempo) {
    if (!(*words.tempo >= 10 && *words.tempo <= 500)) {
      return usage("--tempo is from 10 to 500", "Give the beats in a minute.");
    }
    options.tempo_hint = Bpm(*words.tempo);
  }
  if (words.a4) {
    if (!(*words.a4 >= 380 && *words.a4 <= 480)) {
      return usage("--a4 is from 380 to 480", "Give it in hertz, as in --a4 442.");
    }
    options.a4 = Hertz(*words.a4);
  }
  auto bars = bar_range(words.bars);
  if (!bars) return Unexpected(bars.error());
  options.bars = *bars;
  return options;
}

AudioView view(const Audio& audio) { return {audio.samples, static_cast<double>(audio.rate)}; }

void print_text(const Hearing& hearing, const std::string& recording) {
  fmt::print("{}: {:.1f} s, {}\n", recording, hearing.recording.length.value(),
             name(hearing.status));
  if (hearing.reference.a4) fmt::print("A4 = {:.1f} Hz\n", hearing.reference.a4->value());
  if (hearing.backing_at) {
    fmt::print("the backing begins at {:.2f} s and was taken out\n", hearing.backing_at->value());
  }
  if (hearing.tempo.bpm) fmt::print("tempo {:.0f}\n", *hearing.tempo.bpm);
  int heard = 0, reached = 0;
  for (const NoteHearing& n : hearing.notes) {
    reached += n.state != NoteState::not_reached;
    heard += n.state == NoteState::heard;
  }
  fmt::print("{} of {} notes played were heard clearly\n", heard, reached);
  for (const Finding& f : hearing.findings) {
    fmt::print("{:6.1f} s  {}\n", f.from.value(), f.says);
  }
}

// The first score's; a recording of several is drawn with `endpin desk`.
Result<void> write_report(const HearWords& words, const CommonOptions& common,
                          const app::ScoreInput& score, const Hearing& hearing,
                          const Audio& sound) {
  const std::string name = std::filesystem::path(words.files.back()).filename().string();
  const Language language = find_language(common.language).value_or(Language::en_us);
  const auto page = app::report_html({score, hearing, sound, name, language});
  if (!page) return Unexpected(page.error());
  return app::write_file_atomically(words.report, *page);
}

// What was heard against what, for whoever keeps the result.
Result<void> keep_hashes(const app::ScoreInput& score, const std::string& recording,
                         Hearing& hearing) {
  hearing.score.sha256 = book::sha256(score.bytes);
  const auto bytes = app::read_file(recording, std::uintmax_t{4} << 30);
  if (!bytes) return Unexpected(bytes.error());
  hearing.recording.sha256 = book::sha256(*bytes);
  return {};
}

Result<void> hear_files(const HearWords& words, const CommonOptions& common) {
  if (words.files.size() < 2) {
    return usage("a score and a recording are needed", "Write endpin hear SCORE RECORDING.");
  }
  auto options = options_from(words);
  if (!options) return Unexpected(options.error());
  std::vector<app::ScoreInput> scores;
  std::vector<Timeline> items;
  for (std::size_t i = 0; i + 1 < words.files.size(); ++i) {
    auto score = app::read_score_input(words.files[i], common.choice());
    if (!score) return Unexpected(score.error());
    items.push_back(score->timeline);
    scores.push_back(std::move(*score));
  }
  auto recording = app::decode_in_child(words.files.back());
  if (!recording) return Unexpected(recording.error());
  if (options->tempo_hint) {
    options->tempo_hint = Bpm(options->tempo_hint->value() * items[0].beat_unit.to_double());
  }
  std::optional<Audio> backing;
  if (!words.backing.empty()) {
    auto sound = app::decode_in_child(words.backing);
    if (!sound) return Unexpected(sound.error());
    backing = std::move(*sound);
    options->backing = Backing{view(*backing), {}};
    if (words.backing_at) options->backing->at = Seconds(*words.backing_at);
  }
  Hearing hearing = hear(items, view(*recording), *options);
  const Language language = find_language(common.language).value_or(Language::en_us);
  add_findings(hearing, items, {common.step, language, options->tempo_hint});
  if (auto kept = keep_hashes(scores.front(), words.files.back(), hearing); !kept) return kept;
  if (!words.report.empty()) {
    const auto written = write_report(words, common, scores.front(), hearing, *recording);
    if (!written) return written;
  }
  if (words.json) {
    fmt::print("{}\n", to_json(hearing));
  } else {
    print_text(hearing, words.files.back());
  }
  return {};
}

}  // namespace

void add_hear_command(CLI::App& app, CommonOptions& common) {
  auto words = std::make_shared<HearWords>();
  CLI::App* verb = app.add_subcommand("hear", "Say what was played in a recording of a score");
  verb->add_option("files", words->files, "SCORE… RECORDING")->required();
  verb->add_option("--tempo", words->tempo, "Beats a minute; found by itself where not given");
  verb->add_option("--a4", words->a4, "The pitch of A4 in hertz; found by itself where not given");
  verb->add_option("--bars", words->bars, "Only these bars were played: 5 or 5-8");
  verb->add_option("--backing", words->backing, "What was played to the student");
  verb->add_option("--backing-at", words->backing_at, "Where it begins in the recording, seconds");
  verb->add_flag("--json", words->json, "Everything, as endpin.hearing/1");
  verb->add_option("-o", words->report, "Write a report: one HTML file to open in a browser");
  add_common_options(*verb, common);
  set_action(*verb, [words, &common] { return hear_files(*words, common); });
}

}  // namespace endpin::cli
