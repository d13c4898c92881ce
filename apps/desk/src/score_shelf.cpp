#include "score_shelf.h"

#include "endpin/app/files.h"
#include "endpin/base/pitch.h"

#include "fields.h"
#include "mends.h"

namespace endpin::desk {
namespace {

constexpr std::size_t most_kept = 24;

std::string key_name(const Timeline& timeline) {
  const SpelledPitch tonic = from_line_of_fifths(timeline.fifths + (timeline.minor ? 3 : 0), 4);
  std::string name = tonic.pretty();
  name.resize(name.size() - 1);  // the octave
  return name + (timeline.minor ? " minor" : " major");
}

std::string metre(const Timeline& timeline) {
  if (timeline.bars.empty()) return {};
  const TimelineBar& bar = timeline.bars.front();
  return std::to_string(bar.beats) + "/" + std::to_string(bar.beat_type);
}

}  // namespace

app::ScoreChoice choice(const book::Piece& piece) {
  return {std::to_string(piece.part + 1), piece.tune.value_or(0), piece.instrument};
}

Result<ScoreShelf::Score> ScoreShelf::get(const book::Piece& piece) {
  const app::ScoreChoice wanted = choice(piece);
  const std::string key = piece.folder_name + " " + piece.sha256 + " " + wanted.part + " " +
                          std::to_string(wanted.tune) + " " + wanted.instrument + " " + piece.mends;
  {
    const std::lock_guard lock(mutex_);
    for (auto at = kept_.begin(); at != kept_.end(); ++at) {
      if (at->key != key) continue;
      kept_.splice(kept_.begin(), kept_, at);
      return kept_.front().score;
    }
  }
  auto bytes = app::read_file(book_.pieces().file(piece));
  if (!bytes) return Unexpected(bytes.error());
  auto input = app::score_input(std::move(*bytes), piece.file_name, wanted);
  if (!input) return Unexpected(input.error());
  input = app::changed(std::move(*input), changes_from_text(piece.mends));
  if (!input) return Unexpected(input.error());
  auto score = std::make_shared<const app::ScoreInput>(std::move(*input));
  const std::lock_guard lock(mutex_);
  kept_.push_front({key, score});
  if (kept_.size() > most_kept) kept_.pop_back();
  return score;
}

std::string piece_facts(const app::ScoreInput& input) {
  Json parts = Json::array();
  for (const Part& part : input.score.parts) parts.push_back(part.name);
  Json warnings = Json::array();
  for (const Warning& w : input.score.warnings) {
    warnings.push_back({{"place", w.place}, {"what", w.what}, {"remedy", w.remedy}});
  }
  return dump({{"parts", parts},
               {"key", key_name(input.timeline)},
               {"metre", metre(input.timeline)},
               {"bars", input.score.parts[static_cast<std::size_t>(input.part)].bars.size()},
               {"notes", input.timeline.notes.size()},
               {"warnings", warnings}});
}

}  // namespace endpin::desk
