#include <algorithm>

#include "endpin/score/check.h"

#include "book_json.h"
#include "mends.h"
#include "services.h"

namespace endpin::desk {
namespace {

constexpr std::size_t most_mends = 2000;  // more is another score

/// The piece with nothing mended, moved as it is now: what "was" there.
book::Piece as_read(book::Piece piece) {
  app::ScoreChanges changes = changes_from_text(piece.mends);
  changes.mends.clear();
  piece.mends = changes_text(changes);
  return piece;
}

Json note_json(const Note& note) {
  const WrittenDuration written = note.written.value_or(WrittenDuration{});
  return {{"rest", note.is_rest()},
          {"pitch", note.is_rest() ? Json(nullptr) : Json(note.pitch.text())},
          {"value", value_name(written.value)},
          {"dots", written.dots},
          {"quarters", note.duration.text()}};
}

class View {
 public:
  View(const app::ScoreInput& now, const app::ScoreInput& read, const app::ScoreChanges& changes)
      : now_(now), read_(read), changes_(changes) {}

  Json mends() const {
    Json list = Json::array();
    for (const Mend& mend : changes_.mends) {
      const Note* was = mend.after.empty() ? find_note(read_.score, mend.id) : nullptr;
      const Note* is = find_note(now_.score, mend.id);
      const std::string* bar = bar_of(is != nullptr ? now_.score : read_.score, mend.id);
      if (bar == nullptr) continue;  // of another file, or behind what went away
      list.push_back({{"id", mend.id},
                      {"bar", *bar},
                      {"was", was != nullptr ? note_json(*was) : Json(nullptr)},
                      {"is", is != nullptr ? note_json(*is) : Json(nullptr)}});
    }
    return list;
  }

  Json bars() const {
    Json list = Json::array();
    const std::vector<UnevenBar> uneven = uneven_bars(now_.score);
    const std::vector<Context> context = contexts(part());
    for (std::size_t i = 0; i < part().bars.size(); ++i) {
      const Bar& bar = part().bars[i];
      const bool fits = std::none_of(uneven.begin(), uneven.end(),
                                     [&](const UnevenBar& u) { return u.index == i; });
      list.push_back({{"bar", bar.number},
                      {"lasts_quarters", bar.length.text()},
                      {"needs_quarters", context[i].time.bar_length().text()},
                      {"beat_type", context[i].time.beat_type},
                      {"fifths", context[i].key.fifths},
                      {"fits", fits},
                      {"notes", notes(bar)}});
    }
    return list;
  }

 private:
  const Part& part() const { return now_.score.parts[static_cast<std::size_t>(now_.part)]; }

  static const std::string* bar_of(const Score& score, const std::string& id) {
    for (const Part& part : score.parts) {
      for (const Bar& bar : part.bars) {
        for (const Note& note : bar.notes) {
          if (note.id == id) return &bar.number;
        }
      }
    }
    return nullptr;
  }

  Json notes(const Bar& bar) const {
    Json list = Json::array();
    for (const Note& note : bar.notes) {
      if (note.grace || note.cue || note.unpitched) continue;
      Json json = note_json(note);
      json["id"] = note.id;
      json["voice"] = note.voice;
      json["tied"] = note.tie_stop;
      json["mended"] = std::any_of(changes_.mends.begin(), changes_.mends.end(),
                                   [&](const Mend& mend) { return mend.id == note.id; });
      list.push_back(std::move(json));
    }
    return list;
  }

  const app::ScoreInput& now_;
  const app::ScoreInput& read_;
  const app::ScoreChanges& changes_;
};

Json moved_json(const app::ScoreChanges& changes) {
  if (!changes.moved) return nullptr;
  return {{"fifths", changes.moved->fifths}, {"semitones", changes.moved->semitones}};
}

Answer mends_answer(const Services& s, const Call& call, const book::Piece& piece) {
  const auto now = s.scores.get(piece);
  if (!now) return refuse(now.error());
  const auto read = s.scores.get(as_read(piece));
  if (!read) return refuse(read.error());
  const auto revision = s.book.pieces().revision(book::Kept::mends, piece.id);
  if (!revision) return refuse(revision.error());
  const app::ScoreChanges changes = changes_from_text(piece.mends);
  const View view(**now, **read, changes);
  return tagged(call, dump({{"schema", "endpin.mends/1"},
                            {"revision", revision->revision},
                            {"can_undo", revision->revision > 0},
                            {"can_redo", revision->newest > revision->revision},
                            {"moved", moved_json(changes)},
                            {"mends", view.mends()},
                            {"bars", view.bars()}}));
}

// Kept only if the score can still be played.
Answer keep(const Services& s, const Call& call, book::Piece piece,
            const app::ScoreChanges& changes) {
  if (changes.mends.size() > most_mends) {
    return refuse(422, Error{ErrorKind::input, piece.file_name, "",
                             "so much is mended that it is another score", "Read a better one."});
  }
  piece.mends = changes_text(changes);
  if (const auto score = s.scores.get(piece); !score) return refuse(score.error());
  const auto kept = s.book.pieces().set(book::Kept::mends, piece.id, piece.mends);
  if (!kept) return refuse(kept.error());
  if (auto renewed = renew_facts(s, piece); !renewed) return refuse(renewed.error());
  return mends_answer(s, call, piece);
}

// From what is seen to what the file has.
SpelledPitch before_moving(SpelledPitch seen, const Note* read, const Note* moved,
                           const std::optional<Interval>& by) {
  if (!by) return seen;
  if (read == nullptr || moved == nullptr || read->is_rest()) {
    return transposed(seen, -by->fifths, -by->semitones);
  }
  return transposed(seen, line_of_fifths(read->pitch) - line_of_fifths(moved->pitch),
                    read->pitch.midi() - moved->pitch.midi());
}

// A mend that says what was read says nothing.
bool says_nothing(Mend& mend, const Note* read) {
  if (read == nullptr || !mend.after.empty() || mend.removed) return false;
  if (mend.pitch == read->pitch && !read->is_rest()) mend.pitch.reset();
  if (mend.rest && read->is_rest()) mend.rest = false;
  const WrittenDuration written = read->written.value_or(WrittenDuration{});
  if (mend.value == written.value && read->rest != RestKind::bar_rest) mend.value.reset();
  if (mend.dots == written.dots) mend.dots.reset();
  return !mend.pitch && !mend.value && !mend.dots && !mend.rest;
}

Answer mend_note(const Services& s, const Call& call, const book::Piece& piece) {
  const std::string& id = call.words.at(1);
  app::ScoreChanges changes = changes_from_text(piece.mends);
  const auto moved = s.scores.get(as_read(piece));
  book::Piece unmoved = piece;
  unmoved.mends.clear();
  const auto file = s.scores.get(unmoved);
  if (!moved || !file) return refuse(!moved ? moved.error() : file.error());
  auto at = std::find_if(changes.mends.begin(), changes.mends.end(),
                         [&](const Mend& mend) { return mend.id == id; });
  const Note* read = find_note((*file)->score, id);
  if (at == changes.mends.end() && read == nullptr) return no_such("note");
  if (at == changes.mends.end()) {
    changes.mends.push_back({});
    at = changes.mends.end() - 1;
    at->id = id;
  }
  const Fields fields(call);
  if (fields.problem()) return *fields.problem();
  if (auto no = read_mend(fields, *at)) return *no;
  if (fields.has("pitch")) {
    at->pitch = before_moving(*at->pitch, read, find_note((*moved)->score, id), changes.moved);
  }
  const bool new_and_gone = !at->after.empty() && at->removed;
  if (new_and_gone || says_nothing(*at, read)) changes.mends.erase(at);
  return keep(s, call, piece, changes);
}

Answer add_note(const Services& s, const Call& call, const book::Piece& piece) {
  app::ScoreChanges changes = changes_from_text(piece.mends);
  const auto now = s.scores.get(piece);
  if (!now) return refuse(now.error());
  Fields fields(call);
  Mend mend;
  fields.require("after").text("after", mend.after);
  if (fields.problem()) return *fields.problem();
  if (auto no = read_mend(fields, mend)) return *no;
  if (find_note((*now)->score, mend.after) == nullptr) return no_such("note");
  if (mend.pitch) mend.pitch = before_moving(*mend.pitch, nullptr, nullptr, changes.moved);
  mend.removed = false;
  const auto taken = [&](const std::string& id) {
    return find_note((*now)->score, id) != nullptr ||
           std::any_of(changes.mends.begin(), changes.mends.end(),
                       [&](const Mend& other) { return other.id == id; });
  };
  for (int n = 1; mend.id.empty() || taken(mend.id); ++n) mend.id = "new" + std::to_string(n);
  changes.mends.push_back(mend);
  return keep(s, call, piece, changes);
}

Answer take_back(const Services& s, const Call& call, const book::Piece& piece) {
  app::ScoreChanges changes = changes_from_text(piece.mends);
  const auto gone =
      std::erase_if(changes.mends, [&](const Mend& mend) { return mend.id == call.words.at(1); });
  return gone > 0 ? keep(s, call, piece, changes) : no_such("mend");
}

// Moving the piece left the teacher's bows alone; that step goes back and forth with it.
Result<void> step_markings_too(const Services& s, book::Id piece, int by) {
  book::Pieces& pieces = s.book.pieces();
  const auto now = pieces.revision(book::Kept::markings, piece);
  if (!now) return Unexpected(now.error());
  const auto there = pieces.step(book::Kept::markings, piece, by);
  if (!there) return Unexpected(there.error());
  const std::string& fingered = by < 0 ? there->text : now->text;
  const std::string& moved = by < 0 ? now->text : there->text;
  if (there->revision == now->revision || bows_alone(fingered) == moved) return {};
  const auto back = pieces.step(book::Kept::markings, piece, -by);
  return back ? Result<void>() : Unexpected(back.error());
}

Answer step(const Services& s, const Call& call, const book::Piece& piece) {
  const std::string& what = call.words.at(1);
  if (what == "clear") {
    app::ScoreChanges changes = changes_from_text(piece.mends);
    changes.mends.clear();
    return keep(s, call, piece, changes);
  }
  if (what != "undo" && what != "redo") return no_such("step");
  const int by = what == "undo" ? -1 : +1;
  const auto kept = s.book.pieces().step(book::Kept::mends, piece.id, by);
  if (!kept) return refuse(kept.error());
  book::Piece stepped = piece;
  stepped.mends = kept->text;
  if (changes_from_text(piece.mends).moved != changes_from_text(stepped.mends).moved) {
    if (auto done = step_markings_too(s, piece.id, by); !done) return refuse(done.error());
  }
  if (auto renewed = renew_facts(s, stepped); !renewed) return refuse(renewed.error());
  return mends_answer(s, call, stepped);
}

}  // namespace

void add_mend_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces/{id}/mends", on_piece(s, mends_answer));
  r.add("POST", "/api/pieces/{id}/mends", on_piece(s, add_note));
  r.add("PUT", "/api/pieces/{id}/mends/{note}", on_piece(s, mend_note));
  r.add("DELETE", "/api/pieces/{id}/mends/{note}", on_piece(s, take_back));
  r.add("POST", "/api/pieces/{id}/mends/{step}", on_piece(s, step));
}

}  // namespace endpin::desk
