#include <algorithm>
#include <cstdio>
#include <exception>
#include <string>
#include <string_view>

#include <CLI/CLI.hpp>
#include <fmt/core.h>

#include "command.h"
#include "failure.h"

namespace endpin::cli {

#define VERB(name) void add_##name##_command(CLI::App& app, CommonOptions& common);
ENDPIN_VERB_LIST
#undef VERB

namespace {

// The words that the program knows, for one that it does not.
std::string verbs(const CLI::App& app) {
  std::string list;
  for (const CLI::App* verb : app.get_subcommands({})) {
    list += (list.empty() ? "" : ", ") + verb->get_name();
  }
  return list;
}

bool knows(const CLI::App& app, std::string_view word) {
  const auto all = app.get_subcommands({});
  return std::any_of(all.begin(), all.end(),
                     [&](const CLI::App* verb) { return verb->get_name() == word; });
}

int run(int argc, char** argv) {
  CLI::App app{"The desk part of a string teacher's week: scores, lessons, recordings."};
  app.name("endpin");
  app.set_version_flag("--version", "endpin " ENDPIN_VERSION);
  app.require_subcommand(1);
  CommonOptions common;
#define VERB(name) add_##name##_command(app, common);
  ENDPIN_VERB_LIST
#undef VERB
  if (argc < 2) {
    fmt::print(stderr, "endpin: what should it do? Use {}; see endpin --help.\n", verbs(app));
    return exit_code(ErrorKind::usage);
  }
  if (argv[1][0] != '-' && !knows(app, argv[1])) {
    fmt::print(stderr, "endpin: '{}' is not known. Use {}.\n", argv[1], verbs(app));
    return exit_code(ErrorKind::usage);
  }
  try {
    app.parse(argc, argv);
    return 0;
  } catch (const Failure& failure) {
    fmt::print(stderr, "{}\n", failure.error().line());
    return exit_code(failure.error().kind);
  } catch (const CLI::ParseError& wrong) {
    if (wrong.get_exit_code() == 0) return app.exit(wrong);  // --help, --version
    fmt::print(stderr, "endpin: {}. See endpin --help.\n", wrong.what());
    return exit_code(ErrorKind::usage);
  }
}

}  // namespace
}  // namespace endpin::cli

int main(int argc, char** argv) {
  try {
    return endpin::cli::run(argc, argv);
  } catch (const std::exception& unexpected) {
    std::fprintf(stderr, "endpin: %s. This is a fault of the program: please report it.\n",
                 unexpected.what());
    return 3;
  }
}
