#include "endpin/study/study.h"

#include "book_json.h"
#include "services.h"

namespace endpin::desk {
namespace {

template <typename T>
Json set_by(const std::optional<T>& value, Origin origin) {
  return value ? Json{{"value", *value}, {"origin", name(origin)}} : Json(nullptr);
}

Json note_json(const NoteMarking& note, Language language) {
  Json bow;
  const bool told = note.bow_shown || note.bow_origin != Origin::proposed;
  if (note.bow && told) bow = {{"value", name(*note.bow)}, {"origin", name(note.bow_origin)}};
  Json position;
  if (!note.position_key.empty()) {
    position = {{"value", say(note.position_key, language)}, {"origin", name(note.finger_origin)}};
  }
  return {{"id", note.id},
          {"bar", note.bar},
          {"finger", set_by(note.finger, note.finger_origin)},
          {"string", set_by(note.string, note.string_origin)},
          {"bow", bow},
          {"position", position},
          {"reason", note.fingering_reason.empty() ? Json(nullptr)
                                                   : Json(say(note.fingering_reason, language))}};
}

Json alternative_json(const MarkingAlternative& alternative, Language language) {
  Json notes = Json::array();
  for (const MarkingAlternative::Note& note : alternative.notes) {
    notes.push_back({{"id", note.id},
                     {"finger", note.finger ? Json(*note.finger) : Json(nullptr)},
                     {"string", note.string ? Json(*note.string) : Json(nullptr)}});
  }
  return {{"rank", alternative.rank},
          {"bar", alternative.bar},
          {"notes", notes},
          {"says", say(alternative.says, language)}};
}

Answer markings_answer(const Services& s, const Call& call, const book::Piece& piece) {
  const auto marked = s.marked.get(piece);
  if (!marked) return refuse(marked.error());
  const Language language = language_of(s, call);
  Json notes = Json::array();
  for (const NoteMarking& note : (*marked)->markings.notes) {
    notes.push_back(note_json(note, language));
  }
  Json notices = Json::array();
  for (const MarkingRemark& remark : (*marked)->markings.remarks) {
    notices.push_back(say_line(remark.says, language));
  }
  Json alternatives = Json::array();
  for (const MarkingAlternative& alternative : (*marked)->markings.alternatives) {
    alternatives.push_back(alternative_json(alternative, language));
  }
  const book::Revision& kept = (*marked)->kept;
  return tagged(call, dump({{"schema", "endpin.markings-in-force/1"},
                            {"revision", kept.revision},
                            {"can_undo", kept.revision > 0},
                            {"can_redo", kept.newest > kept.revision},
                            {"notes", notes},
                            {"notices", notices},
                            {"alternatives", alternatives}}));
}

Answer get_markings(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  return markings_answer(s, call, std::get<book::Piece>(found));
}

TeacherMarking& marking_of(std::vector<TeacherMarking>& all, const std::string& id) {
  const auto at = std::find_if(all.begin(), all.end(), [&](const auto& m) { return m.id == id; });
  if (at != all.end()) return *at;
  all.push_back({});
  all.back().id = id;
  return all.back();
}

std::optional<Answer> read_marking(Fields fields, TeacherMarking& marking) {
  std::optional<std::string> bow;
  if (marking.bow) bow = name(*marking.bow);
  fields.maybe_integer("finger", marking.finger, 0, 5)
      .maybe_integer("string", marking.string, 1, 6)
      .maybe_text("bow", bow);
  if (bow && *bow != "down" && *bow != "up") fields.wrong("bow", "neither down nor up");
  if (fields.problem()) return fields.problem();
  marking.bow.reset();
  if (bow) marking.bow = *bow == "up" ? Bow::up : Bow::down;
  return std::nullopt;
}

Answer set_marking(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& piece = std::get<book::Piece>(found);
  const auto marked = s.marked.get(piece);
  if (!marked) return refuse(marked.error());
  const std::string& id = call.words.at(1);
  if ((*marked)->markings.find(id) == nullptr) return no_such("note");
  std::vector<TeacherMarking> teacher = (*marked)->teacher;
  if (auto no = read_marking(Fields(call), marking_of(teacher, id))) return *no;
  auto kept = s.book.pieces().set(book::Kept::markings, piece.id, overrides_text(teacher));
  return kept ? markings_answer(s, call, piece) : refuse(kept.error());
}

// Several notes at once, as an alternative has them: one step to undo.
Answer set_passage(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& piece = std::get<book::Piece>(found);
  const auto marked = s.marked.get(piece);
  if (!marked) return refuse(marked.error());
  const Fields fields(call);
  if (fields.problem()) return *fields.problem();
  const Json notes = fields.json().value("notes", Json());
  if (!notes.is_array() || notes.empty() || notes.size() > 1000) {
    return refuse_value("notes", "not a list of 1 to 1000 notes", "Correct it.");
  }
  std::vector<TeacherMarking> teacher = (*marked)->teacher;
  for (const Json& note : notes) {
    const bool named = note.is_object() && note.contains("id") && note["id"].is_string();
    const std::string id = named ? note["id"].get<std::string>() : std::string();
    if ((*marked)->markings.find(id) == nullptr) return no_such("note");
    if (auto no = read_marking(Fields(note), marking_of(teacher, id))) return *no;
  }
  auto kept = s.book.pieces().set(book::Kept::markings, piece.id, overrides_text(teacher));
  return kept ? markings_answer(s, call, piece) : refuse(kept.error());
}

Answer step(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& piece = std::get<book::Piece>(found);
  const std::string& what = call.words.at(1);
  if (what != "undo" && what != "redo" && what != "clear") return no_such("step");
  book::Pieces& pieces = s.book.pieces();
  const auto kept = what == "clear"
                        ? pieces.set(book::Kept::markings, piece.id, "{}")
                        : pieces.step(book::Kept::markings, piece.id, what == "undo" ? -1 : +1);
  return kept ? markings_answer(s, call, piece) : refuse(kept.error());
}

Answer study_of(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& piece = std::get<book::Piece>(found);
  const auto marked = s.marked.get(piece);
  if (!marked) return refuse(marked.error());
  StudyOptions options;
  options.step = piece.step;
  options.retakes = retaken_notes((*marked)->markings);
  const Study found_in_it = study((*marked)->score->score, (*marked)->score->part,
                                  (*marked)->timeline, *(*marked)->instrument, options);
  return tagged(call, to_json(found_in_it, language_of(s, call)));
}

Answer timeline_of(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto marked = s.marked.get(std::get<book::Piece>(found));
  if (!marked) return refuse(marked.error());
  return tagged(call, to_json((*marked)->timeline));
}

Answer score_of(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& piece = std::get<book::Piece>(found);
  const auto marked = s.marked.get(piece);
  if (!marked) return refuse(marked.error());
  Answer answer = tagged(call, (*marked)->musicxml, "application/vnd.recordare.musicxml+xml");
  const auto stem = std::filesystem::path(piece.file_name).stem().string();
  return answer.with("Content-Disposition", attachment(stem + ".musicxml"));
}

}  // namespace

Language language_of(const Services& s, const Call& call) {
  if (const auto asked = find_language(call.query_text("lang").value_or(""))) return *asked;
  return language_of(s.book);
}

void add_marking_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces/{id}/timeline", [s](const Call& c) { return timeline_of(s, c); });
  r.add("GET", "/api/pieces/{id}/study", [s](const Call& c) { return study_of(s, c); });
  r.add("GET", "/api/pieces/{id}/score.musicxml", [s](const Call& c) { return score_of(s, c); });
  r.add("GET", "/api/pieces/{id}/markings", [s](const Call& c) { return get_markings(s, c); });
  r.add("PUT", "/api/pieces/{id}/markings", [s](const Call& c) { return set_passage(s, c); });
  r.add("PUT", "/api/pieces/{id}/markings/{note}",
        [s](const Call& c) { return set_marking(s, c); });
  r.add("POST", "/api/pieces/{id}/markings/{step}", [s](const Call& c) { return step(s, c); });
}

}  // namespace endpin::desk
