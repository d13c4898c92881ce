#include <memory>

#include <CLI/CLI.hpp>
#include <fmt/core.h>

#include "endpin/app/score_input.h"
#include "endpin/study/study.h"
#include "endpin/technique/markings.h"

#include "command.h"

namespace endpin::cli {
namespace {

struct StudyRequest {
  std::string score;
  bool json = false;
  std::string size;
  double string_length_mm = 0;
  std::string counting;
  std::vector<std::string> steps;
};

StudyOptions study_options(const StudyRequest& request, const CommonOptions& common) {
  StudyOptions options;
  options.step = common.step;
  options.size = request.size;
  options.counting = request.counting;
  options.step_order = request.steps;
  if (request.string_length_mm > 0) options.string_length_mm = request.string_length_mm;
  return options;
}

Result<void> run(const StudyRequest& request, const CommonOptions& common) {
  auto input = app::read_score_input(request.score, common.choice());
  if (!input) return Unexpected(std::move(input).error());
  const Instrument& which = *find_instrument(input->instrument);
  MarkingOptions marking;
  marking.step = common.step;
  const Markings markings = mark(input->score, input->part, input->timeline, which, marking);
  apply(markings, input->timeline);
  StudyOptions options = study_options(request, common);
  options.retakes = retaken_notes(markings);
  const Study found = study(input->score, input->part, input->timeline, which, options);
  const Language language = find_language(common.language).value_or(Language::en_us);
  if (request.json) {
    fmt::print("{}\n", to_json(found, language));
  } else {
    fmt::print("{}", describe(found, language));
    for (const Warning& w : found.warnings) {
      fmt::print(stderr, "{}\n",
                 Error{ErrorKind::input, input->file, w.place, w.what, w.remedy}.line());
    }
  }
  return {};
}

}  // namespace

void add_study_command(CLI::App& app, CommonOptions& common) {
  CLI::App& verb = *app.add_subcommand("study", "Say what a piece holds and what will need work");
  auto request = std::make_shared<StudyRequest>();
  verb.add_option("SCORE", request->score, "MusicXML, ABC or MIDI")->required();
  verb.add_flag("--json", request->json, "Print endpin.study/1");
  verb.add_option("--size", request->size, "Size of the instrument, such as 3/4: gives distances");
  verb.add_option("--string-length", request->string_length_mm,
                  "Measured length of the strings from nut to bridge, millimetres")
      ->check(CLI::Range(150.0, 1300.0));
  verb.add_option("--count", request->counting,
                  "How the class counts: numbers, takadimi or ta-titi")
      ->check(CLI::IsMember({"numbers", "takadimi", "ta-titi"}));
  verb.add_option("--steps", request->steps,
                  "Your own order of the steps, the first learnt first, with commas between")
      ->delimiter(',')
      ->check(CLI::IsMember({"open-strings", "first-position", "slurs", "extensions",
                             "lower-positions", "neck-positions", "upper-positions", "thumb"}));
  add_common_options(verb, common);
  set_action(verb, [request, &common] { return run(*request, common); });
}

}  // namespace endpin::cli
