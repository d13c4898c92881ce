#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>

#include "endpin/app/files.h"
#include "endpin/app/score_input.h"
#include "endpin/hearing/hearing.h"
#include "endpin/lesson_folder/lesson_folder.h"

#include "command.h"
#include "date_option.h"
#include "progress_line.h"

namespace endpin::cli {
namespace {

struct LessonOptions {
  std::string score;
  std::string out;
  std::string paper = "a4";
  std::string date;
  std::string heard;
  std::vector<std::string> remarks;
  std::vector<std::string> may_say;
  app::LessonOrder order;
};

constexpr const char* no_finding = "nothing";

std::string check_finding(const std::string& name) {
  if (name == no_finding || finding_kind(name)) return {};
  return "'" + name + "' is no kind of finding: missed, short-held, restart, flat and others, or " +
         no_finding;
}

// Unset where nothing was asked for.
std::optional<std::vector<std::string>> kinds_to_say(std::vector<std::string> asked) {
  if (asked.empty()) return std::nullopt;
  std::erase(asked, no_finding);
  return asked;
}

// What was heard last: what to work on, and from which tempo to climb.
Result<void> take_in(app::LessonOrder& order, const std::string& file) {
  const auto text = app::read_file(file);
  if (!text) return Unexpected(Error(text.error()));
  const auto hearing = hearing_from_json(*text);
  if (!hearing) {
    Error error = hearing.error();
    if (error.file.empty()) error.file = file;
    return Unexpected(std::move(error));
  }
  app::answer(order, *hearing);
  return {};
}

Result<void> make(LessonOptions& options, const CommonOptions& common) {
  auto input = app::read_score_input(options.score, common.choice());
  if (!input) return Unexpected(std::move(input).error());
  app::LessonOrder& order = options.order;
  // Where no step is asked for, a beginner's hand decides the octave.
  const std::string octave_for = common.step.empty() ? "first-position" : common.step;
  if (!common.instrument.empty()) {
    input = app::for_instrument(std::move(*input), *find_instrument(common.instrument), octave_for);
    if (!input) return Unexpected(std::move(input).error());
  }
  order.input = std::move(*input);
  order.step = common.step;
  order.language = find_language(common.language).value_or(Language::en_us);
  order.paper = options.paper == "letter" ? app::Paper::letter : app::Paper::a4;
  order.may_say = kinds_to_say(options.may_say);
  for (const std::string& words : options.remarks) order.remarks.push_back({words, {}});
  if (!options.heard.empty()) {
    if (auto taken = take_in(order, options.heard); !taken) return taken;
  }
  order.date = options.date.empty() ? today() : options.date;
  return with_progress([&](const app::Progress& progress) {
    return app::write_lesson(order, options.out, progress);
  });
}

}  // namespace

void add_lesson_command(CLI::App& app, CommonOptions& common) {
  CLI::App* verb = app.add_subcommand("lesson", "Make what goes home: sheet, sound, drills");
  const auto options = std::make_shared<LessonOptions>();
  verb->add_option("score", options->score, "Score: MusicXML, ABC or MIDI")->required();
  verb->add_option("-o,--out", options->out, "Folder to write")->required();
  verb->add_option("--tempo", options->order.goal_per_minute,
                   "Goal in beats a minute (default: the score's tempo)")
      ->check(CLI::Range(slowest_goal, fastest_goal));
  verb->add_option("--clean", options->order.clean_per_minute,
                   "Tempo that is clean already; the ladder begins there")
      ->check(CLI::Range(slowest_goal, fastest_goal));
  verb->add_option("--paper", options->paper, "a4 or letter")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->capture_default_str();
  verb->add_flag("--large-print", options->order.large_print, "Larger notes and letters");
  verb->add_flag("--marks-alike{false}", options->order.proposed_lighter,
                 "Draw proposed fingerings and bows as dark as printed ones");
  verb->add_option("--date", options->date, "Date on the sheet, 2026-03-01 (default: today)")
      ->check(CLI::Validator(check_date, "DATE"));
  verb->add_option("--items", options->order.items, "What it holds, by key, in order")
      ->delimiter(',');
  verb->add_option("--heard", options->heard,
                   "What endpin hear --json wrote: its findings become goals and drills");
  verb->add_option("--remark", options->remarks, "A goal in your own words, first on the sheet")
      ->allow_extra_args(false);
  verb->add_option("--may-say", options->may_say,
                   "Findings that the take-home page may word by itself, with commas between "
                   "(default: short-held,restart), or nothing")
      ->delimiter(',')
      ->check(CLI::Validator(check_finding, "FINDING"));
  verb->add_option("--for", options->order.student, "A name on the sheet");
  verb->add_option("--note", options->order.note, "The teacher's own words on the sheet");
  verb->add_flag("--adult", options->order.for_adult, "Goals worded for a grown-up");
  add_common_options(*verb, common);
  set_action(*verb, [options, &common] { return make(*options, common); });
}

}  // namespace endpin::cli
