#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/core.h>

#include "endpin/app/files.h"
#include "endpin/app/score_input.h"
#include "endpin/technique/written_markings.h"

#include "command.h"

namespace endpin::cli {
namespace {

struct MarkRequest {
  std::string score;
  std::string output;
  std::string rules;
  bool sparse = false;
  bool json = false;
};

Result<MarkingOptions> marking_options(const MarkRequest& request, const CommonOptions& common) {
  MarkingOptions options;
  options.step = common.step;
  options.alternatives = request.json;
  if (request.rules.empty()) return options;
  const auto text = app::read_file(request.rules);
  if (!text) return Unexpected(text.error());
  auto rules = parse_house_rules(*text);
  if (!rules) {
    Error error = rules.error();
    error.file = request.rules;
    return Unexpected(std::move(error));
  }
  options.rules = std::move(*rules);
  return options;
}

Result<void> write(const MarkRequest& request, const app::ScoreInput& input,
                   const Markings& markings, int tune) {
  const auto density = request.sparse ? MarkingDensity::where_needed : MarkingDensity::every_note;
  ReadOptions reading;
  reading.file = input.file;
  if (tune > 0) reading.tune = tune;
  const auto text =
      write_marked(input.bytes, input.score, written_markings(markings, density), reading);
  if (!text) return Unexpected(text.error());
  return app::write_file_atomically(request.output, *text);
}

Result<void> run(const MarkRequest& request, const CommonOptions& common) {
  const auto input = app::read_score_input(request.score, common.choice());
  if (!input) return Unexpected(input.error());
  const auto options = marking_options(request, common);
  if (!options) return Unexpected(options.error());
  const Markings markings = mark(input->score, input->part, input->timeline,
                                 *find_instrument(input->instrument), *options);
  const Language language = find_language(common.language).value_or(Language::en_us);
  if (request.json) fmt::print("{}\n", to_json(markings, language));
  if (request.output.empty()) return {};
  return write(request, *input, markings, common.tune);
}

}  // namespace

void add_mark_command(CLI::App& app, CommonOptions& common) {
  CLI::App& verb = *app.add_subcommand("mark", "Write fingerings, strings and bows into a score");
  auto request = std::make_shared<MarkRequest>();
  verb.add_option("SCORE", request->score, "MusicXML, ABC or MIDI")->required();
  auto* output = verb.add_option("-o", request->output, "The MusicXML file to write");
  auto* json = verb.add_flag("--json", request->json, "Print endpin.markings/1");
  verb.add_option("--house,--rules", request->rules, "House rules, one a line");
  verb.add_flag("--sparse", request->sparse, "Only where a player needs telling");
  add_common_options(verb, common);
  set_action(verb, [request, output, json, &common]() -> Result<void> {
    if (output->count() == 0 && json->count() == 0) {
      return Unexpected(Error{ErrorKind::usage, "", "", "mark needs a file to write",
                              "Say -o OUT.musicxml, or --json to print."});
    }
    return run(*request, common);
  });
}

}  // namespace endpin::cli
