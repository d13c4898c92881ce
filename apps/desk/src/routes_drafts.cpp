#include "endpin/app/files.h"

#include "book_json.h"
#include "receive.h"
#include "services.h"
#include "static_files.h"

namespace endpin::desk {
namespace {

constexpr std::size_t longest_tune = 200'000;  // bytes; some hundred pages
constexpr std::int64_t largest_picture = std::int64_t{64} << 20;

Json to_json(const book::Draft& d) {
  return {{"id", d.id},
          {"text", d.text},
          {"instrument", d.instrument},
          {"piece", or_null(d.piece)},
          {"page", d.page_name.empty() ? Json(nullptr) : Json(d.page_name)},
          {"changed", d.changed}};
}

/// Runs `then` with the draft, or answers that there is none.
template <typename Then>
Answer with_draft(const Services& s, const Call& call, const Then& then) {
  auto draft = s.book.drafts().find(call.id());
  if (!draft) return refuse(draft.error());
  if (!*draft) return no_such("draft");
  return then(**draft);
}

Answer draft_answer(const Services& s, book::Id id, int status = 200) {
  const auto draft = s.book.drafts().find(id);
  if (!draft) return refuse(draft.error());
  return *draft ? json_answer(to_json(**draft), status) : no_such("draft");
}

void read(Fields& fields, book::Draft& d) {
  fields.text("text", d.text, longest_tune).one_of("instrument", d.instrument, instrument_names);
}

Answer list_drafts(const Services& s) {
  const auto drafts = s.book.drafts().list();
  if (!drafts) return refuse(drafts.error());
  Json list = Json::array();
  for (const book::Draft& draft : *drafts) list.push_back(to_json(draft));
  return json_answer({{"drafts", list}});
}

Answer add_draft(const Services& s, const Call& call) {
  book::Draft draft;
  draft.instrument = "cello";
  Fields fields(call);
  read(fields, draft);
  if (fields.problem()) return *fields.problem();
  const auto id = s.book.drafts().add(draft);
  return id ? draft_answer(s, *id, 201) : refuse(id.error());
}

Answer change_draft(const Services& s, const Call& call) {
  return with_draft(s, call, [&](book::Draft& draft) {
    Fields fields(call);
    read(fields, draft);
    if (fields.problem()) return *fields.problem();
    const auto kept = s.book.drafts().change(draft);
    return kept ? draft_answer(s, draft.id) : refuse(kept.error());
  });
}

Answer remove_draft(const Services& s, const Call& call) {
  const auto gone = s.book.drafts().remove(call.id());
  if (!gone) return refuse(gone.error());
  return *gone ? no_content() : no_such("draft");
}

/// What the browser may show as a picture; everything else is refused, so that no page gets in.
std::string picture_type(std::string_view extension) {
  if (extension == ".jpg" || extension == ".jpeg") return "image/jpeg";
  if (extension == ".png") return "image/png";
  if (extension == ".webp") return "image/webp";
  return {};
}

Answer set_page(const Services& s, const Call& call) {
  return with_draft(s, call, [&](book::Draft& draft) {
    const std::string name = book::plain_file_name(call.query_text("name").value_or(""));
    if (picture_type(book::plain_extension(name)).empty()) {
      return refuse(422, Error{ErrorKind::input, name, "", "it is not a picture that can be shown",
                               "Take a JPEG, PNG or WebP."});
    }
    auto received = receive(s.book, call, largest_picture);
    if (const auto* no = std::get_if<Answer>(&received)) return *no;
    auto kept = s.book.drafts().set_page(draft, name, std::get<book::Upload>(std::move(received)));
    return kept ? draft_answer(s, draft.id) : refuse(kept.error());
  });
}

Answer page(const Services& s, const Call& call) {
  return with_draft(s, call, [&](book::Draft& draft) {
    if (draft.page_name.empty()) return no_such("picture");
    Answer answer;
    answer.type = picture_type(book::plain_extension(draft.page_name));
    answer.file = FileBody{s.book.drafts().page(draft)};
    return answer;
  });
}

Result<app::ScoreInput> score_of(const book::Draft& draft) {
  return app::score_input(draft.text, "tune.abc", {"", 0, draft.instrument});
}

Answer sound(const Services& s, const Call& call) {
  return with_draft(s, call, [&](book::Draft& draft) {
    auto input = score_of(draft);
    if (!input) return refuse(input.error());
    input->timeline.instrument = input->instrument;
    PerformOptions options;
    if (auto no = read_perform_options(call, options)) return *no;
    const auto made = s.sounds.make(input->timeline, options);
    if (!made) return refuse(made.error());
    Answer answer;
    answer.type = "audio/wav";
    answer.file = FileBody{made->wav};
    return answer;
  });
}

// They were of the notes that were written before.
Result<void> forget_mends(const Services& s, const book::Piece& piece) {
  if (piece.mends.empty()) return {};
  const auto kept = s.book.pieces().set(book::Kept::mends, piece.id, "");
  return kept ? Result<void>() : Unexpected(kept.error());
}

// A new piece, or the one that was made from the draft before, with its takes and markings.
Answer keep(const Services& s, const Call& call) {
  return with_draft(s, call, [&](book::Draft& draft) {
    const auto input = score_of(draft);
    if (!input) return refuse(input.error());
    auto upload = as_upload(s.book, draft.text);
    if (!upload) return refuse(upload.error());
    const auto before = s.book.pieces().find(draft.piece.value_or(0));
    if (!before) return refuse(before.error());
    book::Piece piece = before->value_or(book::Piece{});
    piece.title = input->score.title;
    piece.composer = input->score.composer;
    piece.rights = input->score.rights;
    piece.file_name = "tune.abc";
    piece.part = input->part;
    piece.instrument = input->instrument;
    piece.facts = piece_facts(*input);
    if (*before) {
      auto replaced = s.book.pieces().replace_file(piece, std::move(*upload));
      if (!replaced) return refuse(replaced.error());
      if (auto free = forget_mends(s, piece); !free) return refuse(free.error());
    } else {
      const auto id = s.book.pieces().add(piece, std::move(*upload));
      if (!id) return refuse(id.error());
      draft.piece = *id;
      if (auto kept = s.book.drafts().change(draft); !kept) return refuse(kept.error());
    }
    return piece_answer(s, draft.piece.value_or(0), *before ? 200 : 201);
  });
}

Answer draft_of_piece(const Services& s, const Call& call) {
  const auto draft = s.book.drafts().of_piece(call.id());
  if (!draft) return refuse(draft.error());
  return *draft ? json_answer(to_json(**draft)) : no_such("draft");
}

}  // namespace

void add_draft_routes(Router& r, Services s) {
  r.add("GET", "/api/drafts", [s](const Call&) { return list_drafts(s); });
  r.add("POST", "/api/drafts", [s](const Call& c) { return add_draft(s, c); });
  r.add("GET", "/api/drafts/{id}", [s](const Call& c) { return draft_answer(s, c.id()); });
  r.add("PATCH", "/api/drafts/{id}", [s](const Call& c) { return change_draft(s, c); });
  r.add("DELETE", "/api/drafts/{id}", [s](const Call& c) { return remove_draft(s, c); });
  r.add("POST", "/api/drafts/{id}/page", [s](const Call& c) { return set_page(s, c); });
  r.add("GET", "/api/drafts/{id}/page", [s](const Call& c) { return page(s, c); });
  r.add("GET", "/api/drafts/{id}/sound.wav", [s](const Call& c) { return sound(s, c); });
  r.add("POST", "/api/drafts/{id}/keep", [s](const Call& c) { return keep(s, c); });
  r.add("GET", "/api/pieces/{id}/draft", [s](const Call& c) { return draft_of_piece(s, c); });
}

}  // namespace endpin::desk
