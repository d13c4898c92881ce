#include "endpin/engraving/engraving.h"

#include <filesystem>
#include <utility>

#include <fmt/core.h>
#include <nlohmann/json.hpp>

#include "endpin/app/process.h"

#include "installation.h"

namespace endpin::app {
namespace {

using nlohmann::json;
namespace fs = std::filesystem;

fs::path program() { return web_folder() / "engrave/engrave.mjs"; }

Error machine_error(std::string what, std::string remedy) {
  return {ErrorKind::machine, program().string(), "", std::move(what), std::move(remedy)};
}

json to_json(const EngraveOptions& options) {
  return {{"width", options.width},
          {"height", options.height},
          {"staffHeight", options.staff_height},
          {"systemGap", options.system_gap},
          {"ownBreaks", options.own_breaks},
          {"seed", options.seed},
          {"proposedFingers", options.proposed_fingers},
          {"proposedBows", options.proposed_bows}};
}

std::string request_lines(const std::vector<EngraveRequest>& requests) {
  std::string lines;
  for (const EngraveRequest& request : requests) {
    const json line = {{"musicxml", request.musicxml}, {"options", to_json(request.options)}};
    lines += line.dump(-1, ' ', false, json::error_handler_t::replace) + "\n";
  }
  return lines;
}

Result<Engraving> from_answer(const std::string& line) {
  const json answer = json::parse(line, nullptr, false);
  if (!answer.is_object()) {
    return Unexpected(machine_error("the engraver gave no answer that can be read", "Try again."));
  }
  if (answer.contains("error")) {
    return Unexpected(Error{ErrorKind::input, "", "",
                            "the score cannot be drawn: " + answer.value("error", std::string()),
                            "Check the score in the program that wrote it."});
  }
  return Engraving{answer.at("pages").get<std::vector<std::string>>(), answer.at("timemap").dump(),
                   answer.value("version", std::string())};
}

Result<std::vector<Engraving>> from_answers(const std::string& output, std::size_t wanted) {
  std::vector<Engraving> drawn;
  std::size_t from = 0;
  while (drawn.size() < wanted) {
    const std::size_t to = output.find('\n', from);
    if (to == std::string::npos) {
      return Unexpected(machine_error("the engraver stopped early", "Try again."));
    }
    auto engraving = from_answer(output.substr(from, to - from));
    if (!engraving) return Unexpected(std::move(engraving).error());
    drawn.push_back(std::move(*engraving));
    from = to + 1;
  }
  return drawn;
}

Error failure(const ProcessResult& result, Seconds limit) {
  if (result.timed_out) {
    return machine_error(fmt::format("the engraver was not done in {} seconds", limit.value()),
                         "Try a shorter score, or try again when the machine is less busy.");
  }
  if (result.errors.find("ERR_MODULE_NOT_FOUND") != std::string::npos) {
    return machine_error("the engraver is not installed", "Run ./run once, which installs it.");
  }
  const std::string last = result.errors.substr(0, result.errors.find('\n'));
  return machine_error(fmt::format("the engraver failed ({}) {}", result.exit_status, last),
                       "Try again.");
}

}  // namespace

bool engraver_is_built() {
  return fs::exists(program()) && fs::exists(web_folder() / "node_modules" / "verovio");
}

Result<std::vector<Engraving>> engrave_all(const std::vector<EngraveRequest>& requests,
                                           Seconds limit) {
  if (!fs::exists(program())) {
    return Unexpected(machine_error("the engraver is missing",
                                    "Run ./run once, or set ENDPIN_ROOT to Endpin's folder."));
  }
  ProcessLimits limits;
  limits.wall_time = limit;
  auto result = run_process({"node", program().string()}, request_lines(requests), limits);
  if (!result) return Unexpected(std::move(result).error());
  if (result->exit_status != 0 || result->timed_out) return Unexpected(failure(*result, limit));
  return from_answers(result->output, requests.size());
}

Result<Engraving> engrave(std::string_view musicxml, const EngraveOptions& options, Seconds limit) {
  auto drawn = engrave_all({{std::string(musicxml), options}}, limit);
  if (!drawn) return Unexpected(std::move(drawn).error());
  return std::move(drawn->front());
}

}  // namespace endpin::app
