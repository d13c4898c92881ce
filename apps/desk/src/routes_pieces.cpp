#include "endpin/app/files.h"
#include "endpin/notation/write.h"

#include "book_json.h"
#include "receive.h"
#include "services.h"

namespace endpin::desk {
namespace {

constexpr std::int64_t largest_score = std::int64_t{32} << 20;

// The page says whose part it is; a name before the first system would only push it in.
std::string without_part_names(std::string musicxml) {
  for (const std::string_view tag : {"part-name", "part-abbreviation"}) {
    const std::string open = "<" + std::string(tag);
    const std::string close = "</" + std::string(tag) + ">";
    std::size_t at = 0;
    while ((at = musicxml.find(open, at)) != std::string::npos) {
      const std::size_t from = musicxml.find('>', at);
      const std::size_t to = musicxml.find(close, at);
      if (from == std::string::npos || to == std::string::npos || to < from) break;
      musicxml.erase(from + 1, to - from - 1);
      at = from;
    }
  }
  return musicxml;
}

Answer list_pieces(const Services& s, const Call& call) {
  const auto pieces = s.book.pieces().list(call.query_text("q").value_or(""));
  if (!pieces) return refuse(pieces.error());
  Json list = Json::array();
  for (const book::Piece& piece : *pieces) {
    list.push_back(to_json(piece, s.engraver.state(piece.id)));
  }
  return json_answer({{"pieces", list}});
}

// What the score itself says, where the teacher has said nothing.
void take_over(const app::ScoreInput& input, book::Piece& piece) {
  piece.part = input.part;
  piece.instrument = input.instrument;
  piece.facts = piece_facts(input);
  if (piece.title.empty()) piece.title = input.score.title;
  if (piece.title.empty()) piece.title = std::filesystem::path(piece.file_name).stem().string();
  if (piece.composer.empty()) piece.composer = input.score.composer;
  if (piece.rights.empty()) piece.rights = input.score.rights;
}

Answer add_piece(const Services& s, const Call& call) {
  book::Piece piece;
  piece.file_name = book::plain_file_name(call.query_text("name").value_or("piece.musicxml"));
  app::ScoreChoice wanted;
  if (const auto part = call.query_text("part")) {
    wanted.part = std::to_string(std::atoi(part->c_str()) + 1);
  }
  if (const auto tune = call.query_text("tune")) {
    wanted.tune = std::max(0, std::atoi(tune->c_str()));
    if (wanted.tune > 0) piece.tune = wanted.tune;
  }
  wanted.instrument = call.query_text("instrument").value_or("");
  auto received = receive(s.book, call, largest_score);
  if (const auto* no = std::get_if<Answer>(&received)) return *no;
  auto& upload = std::get<book::Upload>(received);
  auto bytes = app::read_file(upload.path());
  if (!bytes) return refuse(bytes.error());
  const auto input = app::score_input(std::move(*bytes), piece.file_name, wanted);
  if (!input) return refuse(input.error());
  take_over(*input, piece);
  const auto same = s.book.pieces().find_same(upload.hash(), piece.tune, piece.part);
  if (!same) return refuse(same.error());
  if (*same) return piece_answer(s, (*same)->id);
  const auto id = s.book.pieces().add(piece, std::move(upload));
  if (!id) return refuse(id.error());
  if (const auto added = s.book.pieces().find(*id); added && *added) draw_ahead(s, **added);
  return piece_answer(s, *id, 201);
}

Answer change_piece(const Services& s, const Call& call) {
  FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  auto& piece = std::get<book::Piece>(found);
  const app::ScoreChoice before = choice(piece);
  Fields fields(call);
  fields.name("title", piece.title)
      .integer("part", piece.part, 0, 999)
      .maybe_integer("tune", piece.tune, 1, 1'000'000)
      .one_of("instrument", piece.instrument, instrument_names)
      .text("step", piece.step)
      .maybe_real("tempo_bpm", piece.tempo_bpm, 10, 400);
  if (fields.problem()) return *fields.problem();
  const app::ScoreChoice after = choice(piece);
  if (after.part != before.part || after.tune != before.tune ||
      after.instrument != before.instrument) {
    const auto score = s.scores.get(piece);
    if (!score) return refuse(score.error());
    piece.facts = piece_facts(**score);
  }
  if (auto changed = s.book.pieces().change(piece); !changed) return refuse(changed.error());
  draw_ahead(s, piece);
  return piece_answer(s, piece.id);
}

Answer remove_piece(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  if (std::get<book::Piece>(found).takes > 0 && call.query_text("takes") != "delete") {
    return refuse(409, Error{ErrorKind::input, "", "", "takes refer to this piece",
                             "Delete them with it (takes=delete), or give them another piece."});
  }
  const auto removed = s.book.pieces().remove(call.id());
  return removed ? no_content() : refuse(removed.error());
}

Answer original(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& piece = std::get<book::Piece>(found);
  Answer answer;
  answer.type = "application/octet-stream";
  answer.file = FileBody{s.book.pieces().file(piece)};
  return answer.with("Content-Disposition", attachment(piece.file_name));
}

Answer engraving(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto source = engraved_source(s, std::get<book::Piece>(found));
  if (!source) return refuse(source.error());
  return engraving_answer(s, call, call.id(), *source);
}

}  // namespace

Answer engraving_answer(const Services& s, const Call& call, book::Id piece,
                        const std::string& musicxml) {
  const auto drawing = s.engraver.get(piece, musicxml, call.query_text("shape") == "narrow");
  if (drawing.state == "ready") {
    // The pages are JSON already, and large: not read again.
    return tagged(
        call, R"({"state":"ready","key":")" + drawing.key + R"(","pages":)" + drawing.pages + "}");
  }
  Json json = {{"state", drawing.state}, {"key", drawing.key}, {"pages", Json::array()}};
  if (drawing.failure) json["error"] = to_json(*drawing.failure);
  return json_answer(json, drawing.failure ? 200 : 202);
}

FoundPiece find_piece(const Services& s, book::Id id) {
  auto piece = s.book.pieces().find(id);
  if (!piece) return refuse(piece.error());
  if (!*piece) return no_such("piece");
  return std::move(**piece);
}

Handler on_piece(Services s, PieceAction act) {
  return [s, act](const Call& call) {
    const FoundPiece found = find_piece(s, call.id());
    const auto* no = std::get_if<Answer>(&found);
    return no != nullptr ? *no : act(s, call, std::get<book::Piece>(found));
  };
}

void draw_ahead(const Services& s, const book::Piece& piece) {
  if (const auto source = engraved_source(s, piece)) {
    s.engraver.get(piece.id, *source, true);
    s.engraver.get(piece.id, *source, false);
  }
}

Result<void> renew_facts(const Services& s, book::Piece piece) {
  const auto score = s.scores.get(piece);
  if (!score) return Unexpected(score.error());
  piece.facts = piece_facts(**score);
  if (auto kept = s.book.pieces().change(piece); !kept) return Unexpected(kept.error());
  draw_ahead(s, piece);
  return {};
}

Answer piece_answer(const Services& s, book::Id id, int status) {
  const FoundPiece found = find_piece(s, id);
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  return json_answer(to_json(std::get<book::Piece>(found), s.engraver.state(id)), status);
}

Result<std::string> engraved_source(const Services& s, const book::Piece& piece) {
  const auto kept = s.scores.get(piece);
  if (!kept) return Unexpected(kept.error());
  const app::ScoreInput& input = **kept;
  if (input.score.parts.size() > 1) {
    Score alone = input.score;
    alone.parts = {input.score.parts.at(static_cast<std::size_t>(input.part))};
    return without_part_names(write_musicxml(alone));
  }
  ReadOptions reading;
  reading.file = piece.file_name;
  reading.tune = piece.tune;
  return write_marked(input.bytes, input.score, {}, reading).transform(without_part_names);
}

void add_piece_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces", [s](const Call& c) { return list_pieces(s, c); });
  r.add("POST", "/api/pieces", [s](const Call& c) { return add_piece(s, c); });
  r.add("GET", "/api/pieces/{id}", [s](const Call& c) { return piece_answer(s, c.id()); });
  r.add("PATCH", "/api/pieces/{id}", [s](const Call& c) { return change_piece(s, c); });
  r.add("DELETE", "/api/pieces/{id}", [s](const Call& c) { return remove_piece(s, c); });
  r.add("GET", "/api/pieces/{id}/file", [s](const Call& c) { return original(s, c); });
  r.add("GET", "/api/pieces/{id}/engraving", [s](const Call& c) { return engraving(s, c); });
}

}  // namespace endpin::desk
