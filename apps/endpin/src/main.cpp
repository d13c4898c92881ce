#include <cstdio>
#include <exception>

#include <CLI/CLI.hpp>
#include <fmt/core.h>

#include "command.h"
#include "failure.h"

namespace endpin::cli {

#define VERB(name) void add_##name##_command(CLI::App& app, CommonOptions& common);
ENDPIN_VERB_LIST
#undef VERB

namespace {

int run(int argc, char** argv) {
  CLI::App app{"The desk part of a string teacher's week: scores, lessons, recordings."};
  app.name("endpin");
  app.set_version_flag("--version", "endpin " ENDPIN_VERSION);
  app.require_subcommand(1);
  CommonOptions common;
#define VERB(name) add_##name##_command(app, common);
  ENDPIN_VERB_LIST
#undef VERB
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
