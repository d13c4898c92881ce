#include "marked_scores.h"

#include "endpin/base/whole_number.h"
#include "endpin/instrument/instrument.h"
#include "endpin/technique/written_markings.h"

#include "fields.h"

namespace endpin::desk {
namespace {

constexpr std::size_t most_kept = 24;

std::optional<int> whole(const Json& json, const char* name) {
  const auto found = json.find(name);
  return found == json.end() ? std::nullopt : whole_number(*found);
}

Result<std::string> written(const book::Piece& piece, const app::ScoreInput& input,
                            const Markings& markings) {
  ReadOptions reading;
  reading.file = piece.file_name;
  reading.tune = piece.tune;
  return write_marked(input.bytes, input.score,
                      written_markings(markings, MarkingDensity::where_needed), reading);
}

}  // namespace

std::vector<TeacherMarking> teacher_markings(const std::string& overrides) {
  std::vector<TeacherMarking> found;
  const Json json = Json::parse(overrides, nullptr, false);
  if (!json.is_object()) return found;
  for (const auto& [id, set] : json.items()) {
    TeacherMarking marking;
    marking.id = id;
    marking.finger = whole(set, "finger");
    marking.string = whole(set, "string");
    if (set.contains("bow")) marking.bow = set["bow"] == "up" ? Bow::up : Bow::down;
    found.push_back(std::move(marking));
  }
  return found;
}

std::string overrides_text(const std::vector<TeacherMarking>& markings) {
  Json json = Json::object();
  for (const TeacherMarking& m : markings) {
    Json set = Json::object();
    if (m.finger) set["finger"] = *m.finger;
    if (m.string) set["string"] = *m.string;
    if (m.bow) set["bow"] = name(*m.bow);
    if (!set.empty()) json[m.id] = set;
  }
  return dump(json);
}

std::string bows_alone(const std::string& overrides) {
  std::vector<TeacherMarking> markings = teacher_markings(overrides);
  for (TeacherMarking& marking : markings) {
    marking.finger.reset();
    marking.string.reset();
  }
  return overrides_text(markings);
}

Result<MarkedScores::Marked> MarkedScores::get(const book::Piece& piece) {
  auto kept = book_.pieces().revision(book::Kept::markings, piece.id);
  if (!kept) return Unexpected(kept.error());
  const auto settings = book_.settings();
  if (!settings) return Unexpected(settings.error());
  const std::string key = piece.folder_name + " " + piece.sha256 + " " +
                          std::to_string(piece.part) + " " + piece.instrument + " " + piece.step +
                          " " + kept->text + " " + piece.mends + " " + settings->house_rules;
  const std::lock_guard lock(mutex_);
  for (auto at = kept_.begin(); at != kept_.end(); ++at) {
    if (at->key != key || at->marked->kept.revision != kept->revision ||
        at->marked->kept.newest != kept->newest) {
      continue;
    }
    kept_.splice(kept_.begin(), kept_, at);
    return kept_.front().marked;
  }
  auto score = scores_.get(piece);
  if (!score) return Unexpected(score.error());
  auto marked = std::make_shared<MarkedScore>();
  marked->score = *score;
  marked->instrument = find_instrument((*score)->instrument);
  marked->kept = *kept;
  marked->teacher = teacher_markings(kept->text);
  if (auto rules = parse_house_rules(settings->house_rules)) marked->rules = std::move(*rules);
  MarkingOptions options;
  options.step = piece.step;
  options.teacher = marked->teacher;
  options.alternatives = true;
  options.rules = marked->rules;
  marked->timeline = (*score)->timeline;
  marked->timeline.instrument = (*score)->instrument;
  marked->markings =
      mark((*score)->score, (*score)->part, marked->timeline, *marked->instrument, options);
  apply(marked->markings, marked->timeline);
  auto text = written(piece, **score, marked->markings);
  if (!text) return Unexpected(text.error());
  marked->musicxml = std::move(*text);
  kept_.push_front({key, marked});
  if (kept_.size() > most_kept) kept_.pop_back();
  return Marked(marked);
}

}  // namespace endpin::desk
