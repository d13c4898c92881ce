#include "command.h"

#include <utility>

#include <CLI/CLI.hpp>

#include "failure.h"

namespace endpin::cli {

void add_common_options(CLI::App& verb, CommonOptions& options) {
  verb.add_option("--part", options.part, "Part, by number from 1 or by name");
  verb.add_option("--tune", options.tune, "Tune in a file of many, by its X: number")
      ->check(CLI::Range(0, 1'000'000));
  verb.add_option("--instrument", options.instrument, "violin, viola, cello or bass")
      ->check(CLI::IsMember({"violin", "viola", "cello", "bass"}));
  const auto interval = verb.add_option("--transpose", options.transpose,
                                        "By an interval (M2, -m3, P5) or semitones (-3)");
  verb.add_option("--key", options.key, "To the key on this tonic (G, Bb)")->excludes(interval);
  verb.add_option("--step", options.step, "What the player has reached, such as first-position");
  verb.add_option("--lang", options.language, "Language of what is said")
      ->check(CLI::IsMember({"en-US", "en-GB", "de", "fr", "es", "it", "pt"}))
      ->capture_default_str();
}

void set_action(CLI::App& verb, std::function<Result<void>()> action) {
  verb.callback([action = std::move(action)] {
    if (auto done = action(); !done) throw Failure(std::move(done).error());
  });
}

}  // namespace endpin::cli
