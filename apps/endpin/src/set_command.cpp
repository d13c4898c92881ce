#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/core.h>

#include "endpin/app/score_input.h"
#include "endpin/lesson/lesson.h"
#include "endpin/lesson_folder/class_set_folder.h"

#include "command.h"
#include "date_option.h"
#include "progress_line.h"

namespace endpin::cli {
namespace {

struct SetOptions {
  std::string score;
  std::string out;
  std::vector<std::string> instruments{"violin", "viola", "cello", "bass"};
  std::string paper = "a4";
  std::string date;
  bool json = false;
  app::ClassSetOrder order;
};

Result<void> make(SetOptions& options, const CommonOptions& common) {
  auto input = app::read_score_input(options.score, common.choice());
  if (!input) return Unexpected(std::move(input).error());
  app::ClassSetOrder& order = options.order;
  order.input = std::move(*input);
  order.instruments.clear();
  for (const std::string& name : options.instruments) {
    order.instruments.push_back(find_instrument(name)->kind);
  }
  if (!common.step.empty()) order.step = common.step;
  order.language = find_language(common.language).value_or(Language::en_us);
  order.paper = options.paper == "letter" ? app::Paper::letter : app::Paper::a4;
  order.date = options.date.empty() ? today() : options.date;
  const auto set = app::plan_class_set(order);
  if (!set) return Unexpected(Error(set.error()));
  if (options.json) {
    fmt::print("{}", app::class_set_json(order, *set));
  } else {
    for (const std::string& line : app::remarks_on(*set, order.language)) fmt::print("{}\n", line);
  }
  if (options.out.empty()) return {};
  return with_progress([&](const app::Progress& progress) {
    return app::write_class_set(order, *set, options.out, progress);
  });
}

}  // namespace

void add_set_command(CLI::App& app, CommonOptions& common) {
  CLI::App* verb = app.add_subcommand("set", "Make one tune fit for a mixed class");
  const auto options = std::make_shared<SetOptions>();
  verb->add_option("score", options->score, "Score: MusicXML, ABC or MIDI")->required();
  verb->add_option("-o,--out", options->out, "Folder to write; without it only what is strained");
  verb->add_option("--for", options->instruments, "violin,viola,cello,bass: who is in the class")
      ->delimiter(',')
      ->check(CLI::IsMember({"violin", "viola", "cello", "bass"}));
  verb->add_option("--tempo", options->order.beats_per_minute,
                   "Beats a minute of the play-alongs (default: the score's tempo)")
      ->check(CLI::Range(slowest_goal, fastest_goal));
  verb->add_option("--paper", options->paper, "a4 or letter")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->capture_default_str();
  verb->add_flag("--large-print", options->order.large_print, "Larger notes and letters");
  verb->add_option("--date", options->date, "Date on the sheets, 2026-03-01 (default: today)")
      ->check(CLI::Validator(check_date, "DATE"));
  verb->add_flag("--json", options->json, "Print the set as JSON (docs/schema/set.schema.json)");
  add_common_options(*verb, common);
  set_action(*verb, [options, &common] { return make(*options, common); });
}

}  // namespace endpin::cli
