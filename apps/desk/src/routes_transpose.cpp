#include <algorithm>

#include "endpin/technique/markings.h"

#include "book_json.h"
#include "mends.h"
#include "receive.h"
#include "services.h"

namespace endpin::desk {
namespace {

using Wish = std::variant<std::optional<Interval>, Answer>;

constexpr int most_semitones = 24;  // from the file, both ways

book::Piece moved_by(book::Piece piece, const std::optional<Interval>& interval) {
  app::ScoreChanges changes = changes_from_text(piece.mends);
  changes.moved = interval;
  piece.mends = changes_text(changes);
  return piece;
}

// From the file to where the wish leads from what is seen; nothing: as the file has it.
Wish wished(const Services& s, const book::Piece& piece, const std::string& key,
            const std::string& interval) {
  if (key.empty() && interval.empty()) return std::optional<Interval>();
  const auto now = s.scores.get(piece);
  if (!now) return refuse(now.error());
  const Timeline& seen = (*now)->timeline;
  const auto by = key.empty() ? parse_interval(interval, seen.fifths)
                              : interval_to_key(key, seen.fifths, seen.minor);
  if (!by) return refuse(422, by.error());
  const Interval before = changes_from_text(piece.mends).moved.value_or(Interval{});
  const Interval all{before.fifths + by->fifths, before.semitones + by->semitones};
  if (std::abs(all.semitones) > most_semitones) {
    return refuse(422, Error{ErrorKind::input, piece.file_name, "",
                             "that is more than two octaves from the file's own pitch",
                             "Choose a smaller interval."});
  }
  return all == Interval{} ? std::optional<Interval>() : std::optional(all);
}

Json pitches(const std::vector<SpelledPitch>& outside) {
  Json list = Json::array();
  for (const SpelledPitch& pitch : outside) {
    if (std::find(list.begin(), list.end(), Json(pitch.text())) == list.end()) {
      list.push_back(pitch.text());
    }
  }
  return list;
}

Json look(const app::ScoreInput& input) {
  const Instrument& instrument = *find_instrument(input.instrument);
  const auto& notes = input.timeline.notes;
  const auto [low, high] = std::minmax_element(
      notes.begin(), notes.end(), [](const auto& a, const auto& b) { return a.midi < b.midi; });
  std::vector<SpelledPitch> outside;
  for (const TimelineNote& note : notes) {
    const bool playable =
        note.midi >= instrument.lowest_midi() && note.midi <= instrument.highest_midi;
    if (!playable) outside.push_back(note.spelled);
  }
  Json json = Json::parse(piece_facts(input));
  return {{"key", json["key"]},
          {"fifths", input.timeline.fifths},
          {"lowest", low->spelled.text()},
          {"highest", high->spelled.text()},
          {"outside", pitches(outside)},
          {"step", outside.empty() ? Json(guess_step(input.timeline, instrument)) : Json(nullptr)}};
}

Answer preview(const Services& s, const Call& call, const book::Piece& piece) {
  const Wish wish = wished(s, piece, call.query_text("key").value_or(""),
                           call.query_text("interval").value_or(""));
  if (const auto* no = std::get_if<Answer>(&wish)) return *no;
  const auto moved = s.scores.get(moved_by(piece, std::get<0>(wish)));
  return moved ? json_answer(look(**moved)) : refuse(moved.error());
}

Result<void> keep_bows_alone(const Services& s, book::Id from, book::Id to) {
  const auto kept = s.book.pieces().revision(book::Kept::markings, from);
  if (!kept) return Unexpected(kept.error());
  const std::string bows = bows_alone(kept->text);
  if (kept->text.empty() || (from == to && bows == kept->text)) return {};
  const auto set = s.book.pieces().set(book::Kept::markings, to, bows);
  return set ? Result<void>() : Unexpected(set.error());
}

Answer as_view(const Services& s, const book::Piece& piece, const book::Piece& moved) {
  if (moved.mends == piece.mends) return piece_answer(s, piece.id);
  const auto set = s.book.pieces().set(book::Kept::mends, piece.id, moved.mends);
  if (!set) return refuse(set.error());
  if (auto bows = keep_bows_alone(s, piece.id, piece.id); !bows) return refuse(bows.error());
  if (auto renewed = renew_facts(s, moved); !renewed) return refuse(renewed.error());
  return piece_answer(s, piece.id);
}

Answer as_new_piece(const Services& s, const book::Piece& piece, const app::ScoreInput& input) {
  auto upload = as_upload(s.book, input.bytes);
  if (!upload) return refuse(upload.error());
  const auto same = s.book.pieces().find_same(upload->hash(), std::nullopt, piece.part);
  if (!same) return refuse(same.error());
  if (*same) return piece_answer(s, (*same)->id);
  book::Piece added = piece;
  added.file_name = std::filesystem::path(piece.file_name).stem().string() + ".musicxml";
  added.tune.reset();
  added.mends.clear();
  added.facts = piece_facts(input);
  const auto id = s.book.pieces().add(added, std::move(*upload));
  if (!id) return refuse(id.error());
  if (auto bows = keep_bows_alone(s, piece.id, *id); !bows) return refuse(bows.error());
  if (const auto kept = s.book.pieces().find(*id); kept && *kept) draw_ahead(s, **kept);
  return piece_answer(s, *id, 201);
}

Answer transpose(const Services& s, const Call& call, const book::Piece& piece) {
  Fields fields(call);
  std::string key;
  std::string interval;
  std::string as = "view";
  fields.text("key", key).text("interval", interval).one_of("as", as, {"view", "piece"});
  if (fields.problem()) return *fields.problem();
  const Wish wish = wished(s, piece, key, interval);
  if (const auto* no = std::get_if<Answer>(&wish)) return *no;
  const book::Piece moved = moved_by(piece, std::get<0>(wish));
  const auto input = s.scores.get(moved);
  if (!input) return refuse(input.error());
  return as == "piece" ? as_new_piece(s, piece, **input) : as_view(s, piece, moved);
}

}  // namespace

void add_transpose_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces/{id}/transposed", on_piece(s, preview));
  r.add("POST", "/api/pieces/{id}/transpose", on_piece(s, transpose));
}

}  // namespace endpin::desk
