#include "endpin/app/score_input.h"

#include <utility>

#include "endpin/app/files.h"
#include "endpin/notation/read.h"
#include "endpin/notation/write.h"
#include "endpin/score/transpose.h"
#include "endpin/score/unfold.h"

namespace endpin::app {
namespace {

// Errors of choosing know no file; the reader's do.
Error in_file(Error error, const std::string& file) {
  if (error.file.empty()) error.file = file;
  return error;
}

Result<Interval> interval_for(const ScoreChoice& choice, const Timeline& timeline) {
  if (!choice.key.empty()) return interval_to_key(choice.key, timeline.fifths, timeline.minor);
  return parse_interval(choice.transpose, timeline.fifths);
}

Result<ScoreInput> transposed_input(ScoreInput input, const ScoreChoice& choice) {
  const auto interval = interval_for(choice, input.timeline);
  if (!interval) return Unexpected(in_file(interval.error(), input.file));
  return changed(std::move(input), {{}, *interval});
}

}  // namespace

Result<ScoreInput> changed(ScoreInput input, const ScoreChanges& changes) {
  if (changes.empty()) return input;
  input.score = mended(std::move(input.score), changes.mends);
  if (changes.moved) input.score = transposed(input.score, *changes.moved);
  auto played = timeline(input.score, input.part, input.instrument);
  if (!played) return Unexpected(in_file(std::move(played).error(), input.file));
  input.timeline = std::move(played).value();
  input.bytes = write_musicxml(input.score);
  return input;
}

Result<ScoreInput> score_input(std::string bytes, std::string file, const ScoreChoice& choice) {
  ReadOptions options{.file = file};
  if (choice.tune > 0) options.tune = choice.tune;
  auto score = read_score(bytes, options);
  if (!score) return Unexpected(in_file(std::move(score).error(), file));
  const auto part = choose_part(*score, choice.part);
  if (!part) return Unexpected(in_file(part.error(), file));

  ScoreInput input{.file = std::move(file), .bytes = std::move(bytes), .part = *part};
  input.instrument = choice.instrument;
  if (input.instrument.empty()) {
    input.instrument = guess_instrument(score->parts[static_cast<std::size_t>(*part)]);
  }
  if (input.instrument.empty()) input.instrument = "cello";
  auto played = timeline(*score, *part, input.instrument);
  if (!played) return Unexpected(in_file(std::move(played).error(), input.file));
  input.timeline = std::move(played).value();
  input.score = std::move(score).value();
  const bool moves = !choice.transpose.empty() || !choice.key.empty();
  return moves ? transposed_input(std::move(input), choice) : Result<ScoreInput>(std::move(input));
}

Result<ScoreInput> read_score_input(const std::filesystem::path& path, const ScoreChoice& choice) {
  auto bytes = read_file(path);
  if (!bytes) return Unexpected(std::move(bytes).error());
  return score_input(std::move(bytes).value(), path.string(), choice);
}

}  // namespace endpin::app
