#include "marked_score.h"

#include "endpin/instrument/instrument.h"

#include "fields.h"

namespace endpin::desk {
namespace {

std::optional<int> whole(const Json& json, const char* name) {
  const auto found = json.find(name);
  if (found == json.end() || !found->is_number_integer()) return std::nullopt;
  return found->get<int>();
}

}  // namespace

std::vector<TeacherMarking> teacher_markings(const std::string& overrides) {
  std::vector<TeacherMarking> list;
  const Json json = Json::parse(overrides, nullptr, false);
  if (!json.is_object()) return list;
  for (const auto& [id, said] : json.items()) {
    TeacherMarking marking;
    marking.id = id;
    marking.finger = whole(said, "finger");
    marking.string = whole(said, "string");
    const std::string bow = said.value("bow", "");
    if (bow == "down") marking.bow = Bow::down;
    if (bow == "up") marking.bow = Bow::up;
    list.push_back(std::move(marking));
  }
  return list;
}

std::string overrides_of(const std::vector<TeacherMarking>& markings) {
  Json json = Json::object();
  for (const TeacherMarking& m : markings) {
    Json said = Json::object();
    if (m.finger) said["finger"] = *m.finger;
    if (m.string) said["string"] = *m.string;
    if (m.bow) said["bow"] = name(*m.bow);
    if (!said.empty()) json[m.id] = said;
  }
  return dump(json);
}

Result<MarkedScore> marked_score(book::Book& book, ScoreShelf& scores, const book::Piece& piece) {
  auto score = scores.get(piece);
  if (!score) return Unexpected(score.error());
  auto revision = book.pieces().markings(piece.id);
  if (!revision) return Unexpected(revision.error());
  const app::ScoreInput& input = **score;
  MarkingOptions options;
  options.step = piece.step;
  options.teacher = teacher_markings(revision->overrides);
  MarkedScore marked{
      piece, *score, *revision,
      mark(input.score, input.part, input.timeline, *find_instrument(input.instrument), options),
      input.timeline};
  apply(marked.markings, marked.timeline);
  return marked;
}

}  // namespace endpin::desk
