#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include <CLI/CLI.hpp>
#include <fmt/core.h>

#include "endpin/app/files.h"
#include "endpin/app/score_input.h"
#include "endpin/app/sounds.h"
#include "endpin/media/encode.h"
#include "endpin/perform/perform.h"

#include "bars_option.h"
#include "command.h"

namespace endpin::cli {
namespace {

struct PlayOptions {
  std::string score;
  std::string out;
  std::string times;
  std::string sounds;
  std::optional<double> tempo;
  std::string bars;
  bool without_part = false;
  PerformOptions perform;
};

Result<AudioFormat> output_format(const std::string& out) {
  if (const auto format = format_for(out)) return *format;
  return Unexpected({ErrorKind::usage,
                     out,
                     {},
                     "no kind of sound that can be written",
                     "Let the name end in .wav, .flac or .opus."});
}

// A fault that perform found has no file: it is the score's.
template <typename T>
Result<T> in_file(Result<T> result, const std::string& file) {
  if (result || !result.error().file.empty()) return result;
  Error error = result.error();
  error.file = file;
  return Unexpected(std::move(error));
}

Result<Performance> performance(const PlayOptions& options, const app::ScoreInput& input) {
  auto bars = parse_bars(options.bars);
  if (!bars) return Unexpected(std::move(bars).error());
  PerformOptions how = options.perform;
  how.part = !options.without_part;
  how.beats_per_minute = options.tempo;
  how.first_bar = bars->first;
  how.last_bar = bars->last;
  Timeline timeline = input.timeline;
  timeline.instrument = input.instrument;
  auto sounds = app::open_sounds(input.instrument, options.sounds);
  if (!sounds) return Unexpected(std::move(sounds).error());
  ToneBank tones(**sounds);
  return in_file(perform(timeline, how, tones), options.score);
}

Result<void> play(const PlayOptions& options, const CommonOptions& common) {
  const auto format = output_format(options.out);
  if (!format) return Unexpected(format.error());
  auto input = app::read_score_input(options.score, common.choice());
  if (!input) return Unexpected(std::move(input).error());
  const auto performed = performance(options, *input);
  if (!performed) return Unexpected(performed.error());
  const auto bytes = encode(performed->audio, *format, input->score.title);
  if (!bytes) return Unexpected(bytes.error());
  if (auto written = app::write_file_atomically(options.out, *bytes); !written) return written;
  if (options.times.empty()) return {};
  return app::write_file_atomically(options.times, times_to_json(*performed) + "\n");
}

}  // namespace

void add_play_command(CLI::App& app, CommonOptions& common) {
  CLI::App* verb = app.add_subcommand("play", "Make the sound to play along with");
  const auto options = std::make_shared<PlayOptions>();
  verb->add_option("score", options->score, "Score: MusicXML, ABC or MIDI")->required();
  verb->add_option("-o,--out", options->out, "Sound file: .wav, .flac or .opus")->required();
  verb->add_option("--tempo", options->tempo, "Beats a minute (default: the score's)")
      ->check(CLI::Range(slowest_beat, fastest_beat));
  verb->add_option("--bars", options->bars, "Only these bars, by printed number: 5-8");
  verb->add_flag("--click", options->perform.click, "A click on every beat");
  verb->add_option("--count-in", options->perform.count_in_bars,
                   "Full bars of clicks first, then the beats that a pickup leaves open")
      ->check(CLI::Range(0, 8));
  verb->add_flag("--without-part", options->without_part, "Leave the part to the player");
  verb->add_flag("--drone", options->perform.drone, "Tonic and fifth, softly, to tune by");
  verb->add_option("--times", options->times, "Also write when each note sounds, as JSON");
  verb->add_option("--sounds", options->sounds,
                   "Other strings: a folder of recorded notes, or a sound font (.sf2)");
  add_common_options(*verb, common);
  set_action(*verb, [options, &common] { return play(*options, common); });
}

}  // namespace endpin::cli
