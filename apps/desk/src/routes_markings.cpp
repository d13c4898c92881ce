#include <algorithm>

#include "endpin/instrument/instrument.h"
#include "endpin/study/study.h"
#include "endpin/technique/written_markings.h"

#include "book_json.h"
#include "marked_score.h"
#include "services.h"

namespace endpin::desk {
namespace {

using FoundScore = std::variant<MarkedScore, Answer>;

FoundScore find_marked(const Services& s, const Call& call) {
  const auto piece = s.book.pieces().find(call.id());
  if (!piece) return refuse(piece.error());
  if (!*piece) return no_such("piece");
  auto marked = marked_score(s.book, s.scores, **piece);
  if (!marked) return refuse(marked.error());
  return std::move(*marked);
}

Language language_of(const Services& s, const Call& call) {
  const auto wanted = call.query_text("lang");
  if (wanted) {
    if (const auto language = find_language(*wanted)) return *language;
  }
  const auto settings = s.book.settings();
  return settings ? find_language(settings->language).value_or(Language::en_us) : Language::en_us;
}

template <typename T>
Json with_origin(const std::optional<T>& value, Origin origin) {
  if (!value) return nullptr;
  return {{"value", *value}, {"origin", name(origin)}};
}

Json note_json(const NoteMarking& m) {
  std::optional<std::string> bow;
  if (m.bow && (m.bow_shown || m.bow_origin != Origin::proposed)) bow = std::string(name(*m.bow));
  std::optional<std::string> position;
  if (const auto dot = m.position_key.find('.'); dot != std::string::npos) {
    position = m.position_key.substr(dot + 1);
  }
  return {{"id", m.id},
          {"bar", m.bar},
          {"finger", with_origin(m.finger, m.finger_origin)},
          {"string", with_origin(m.string, m.string_origin)},
          {"bow", with_origin(bow, m.bow_origin)},
          {"position", with_origin(position, m.finger_origin)}};
}

Answer markings_answer(const Services& s, const Call& call) {
  const FoundScore found = find_marked(s, call);
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& marked = std::get<MarkedScore>(found);
  Json notes = Json::array();
  for (const NoteMarking& note : marked.markings.notes) notes.push_back(note_json(note));
  Json notices = Json::array();
  for (const MarkingRemark& remark : marked.markings.remarks) {
    notices.push_back(say(remark.says, language_of(s, call)));
  }
  return tagged(call, dump({{"schema", "endpin.desk-markings/1"},
                            {"revision", marked.revision.revision},
                            {"can_undo", marked.revision.revision > 0},
                            {"can_redo", marked.revision.newest > marked.revision.revision},
                            {"notes", notes},
                            {"notices", notices}}));
}

Answer set_marking(const Services& s, const Call& call) {
  const FoundScore found = find_marked(s, call);
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& marked = std::get<MarkedScore>(found);
  const std::string& id = call.words.at(1);
  if (marked.markings.find(id) == nullptr) return no_such("note");
  auto all = teacher_markings(marked.revision.overrides);
  auto place = std::find_if(all.begin(), all.end(), [&](const auto& m) { return m.id == id; });
  if (place == all.end()) {
    all.push_back({});
    place = all.end() - 1;
    place->id = id;
  }
  Fields fields(call);
  fields.maybe_integer("finger", place->finger, 0, 5).maybe_integer("string", place->string, 1, 4);
  std::optional<std::string> bow;
  if (place->bow) bow = std::string(name(*place->bow));
  fields.maybe_text("bow", bow);
  if (bow && *bow != "down" && *bow != "up") fields.wrong("bow", "is not down, up or null");
  if (fields.problem()) return *fields.problem();
  place->bow.reset();
  if (bow) place->bow = *bow == "down" ? Bow::down : Bow::up;
  const auto kept = s.book.pieces().set_markings(call.id(), overrides_of(all));
  if (!kept) return refuse(kept.error());
  return markings_answer(s, call);
}

Answer step(const Services& s, const Call& call, int by) {
  const auto kept = s.book.pieces().step_markings(call.id(), by);
  if (!kept) return refuse(kept.error());
  return markings_answer(s, call);
}

Answer clear(const Services& s, const Call& call) {
  const FoundScore found = find_marked(s, call);
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  if (!teacher_markings(std::get<MarkedScore>(found).revision.overrides).empty()) {
    const auto kept = s.book.pieces().set_markings(call.id(), "{}");
    if (!kept) return refuse(kept.error());
  }
  return markings_answer(s, call);
}

Answer marked_file(const Services& s, const Call& call) {
  const FoundScore found = find_marked(s, call);
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& marked = std::get<MarkedScore>(found);
  const app::ScoreInput& input = *marked.score;
  const auto text = write_marked(input.bytes, input.score, written_markings(marked.markings),
                                 {input.file, marked.piece.tune});
  if (!text) return refuse(text.error());
  Answer answer;
  answer.type = "application/vnd.recordare.musicxml+xml";
  answer.body = *text;
  const std::string stem = std::filesystem::path(input.file).stem().string();
  return answer.with("Content-Disposition", attachment(stem + ".musicxml"));
}

Answer study_answer(const Services& s, const Call& call) {
  const FoundScore found = find_marked(s, call);
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& marked = std::get<MarkedScore>(found);
  const app::ScoreInput& input = *marked.score;
  const Study seen = study(input.score, input.part, marked.timeline,
                           *find_instrument(input.instrument), {marked.markings.step, {}, {}});
  return tagged(call, to_json(seen, language_of(s, call)));
}

}  // namespace

void add_marking_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces/{id}/study", [s](const Call& c) { return study_answer(s, c); });
  r.add("GET", "/api/pieces/{id}/score.musicxml", [s](const Call& c) { return marked_file(s, c); });
  r.add("GET", "/api/pieces/{id}/markings", [s](const Call& c) { return markings_answer(s, c); });
  r.add("POST", "/api/pieces/{id}/markings/undo", [s](const Call& c) { return step(s, c, -1); });
  r.add("POST", "/api/pieces/{id}/markings/redo", [s](const Call& c) { return step(s, c, 1); });
  r.add("POST", "/api/pieces/{id}/markings/clear", [s](const Call& c) { return clear(s, c); });
  r.add("PUT", "/api/pieces/{id}/markings/{note}",
        [s](const Call& c) { return set_marking(s, c); });
}

}  // namespace endpin::desk
