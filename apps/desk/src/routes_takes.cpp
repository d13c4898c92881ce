#include "endpin/media/decode.h"

#include "book_json.h"
#include "hear_take.h"
#include "services.h"
#include "static_files.h"

namespace endpin::desk {
namespace {

using Found = std::variant<book::Take, Answer>;

Found find_take(const Services& s, book::Id id) {
  auto take = s.book.takes().find(id);
  if (!take) return refuse(take.error());
  if (!*take) return no_such("take");
  return std::move(**take);
}

Answer take_answer(const Services& s, book::Id id, int status = 200) {
  const Found found = find_take(s, id);
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  return json_answer(take_json(s, std::get<book::Take>(found)), status);
}

Answer list_takes(const Services& s, const Call& call) {
  book::TakeQuery query;
  query.student = query_id(call, "student");
  query.group = query_id(call, "group");
  query.piece = query_id(call, "piece");
  query.before = query_id(call, "before");
  query.lesson = query_id(call, "lesson");
  query.only_new = query_flag(call, "new");
  query.earlier_score = query_flag(call, "earlier");
  query.text = call.query_text("q").value_or("");
  if (const auto state = call.query_text("state")) {
    query.state = book::take_state(*state);
    if (!query.state) return refuse_value("state", "there is no such state", "See the interface.");
  }
  const auto limit = query_number(call, "limit", 1, 1000);
  if (const auto* no = std::get_if<Answer>(&limit)) return *no;
  query.limit = static_cast<int>(std::get<0>(limit).value_or(100));
  const auto takes = s.book.takes().list(query);
  if (!takes) return refuse(takes.error());
  Json list = Json::array();
  for (const book::Take& take : *takes) list.push_back(take_json(s, take));
  const bool more = static_cast<int>(takes->size()) == query.limit;
  return json_answer({{"takes", list}, {"next", more ? Json(takes->back().id) : Json(nullptr)}});
}

Answer change_take(const Services& s, const Call& call) {
  Found found = find_take(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  auto& take = std::get<book::Take>(found);
  const auto piece = take.piece;
  const auto tempo = take.tempo_bpm;
  const auto lesson = take.lesson;
  const auto item = take.item;
  Fields fields(call);
  fields.maybe_id("student", take.student)
      .maybe_id("piece", take.piece)
      .maybe_id("lesson", take.lesson)
      .text("item", take.item)
      .flag("seen", take.seen)
      .text("sender", take.sender)
      .date("delete_after", take.delete_after)
      .maybe_real("tempo_bpm", take.tempo_bpm, 10, 400);
  if (fields.problem()) return *fields.problem();
  if (auto no = check_owners(s, take.student, take.piece)) return *no;
  if (lesson != take.lesson) {
    // It is the other lesson's now, and what it held of the one before is not known of this one.
    if (take.lesson && !fields.has("piece")) take.piece.reset();
    if (!fields.has("item")) take.item.clear();
  }
  if (auto no = follow_lesson(s, take)) return *no;
  if (auto changed = s.book.takes().change(take); !changed) return refuse(changed.error());
  if (!take.sender.empty() && take.student && fields.has("student")) {
    auto kept = s.book.takes().remember_sender(take.sender, *take.student);
    if (!kept) return refuse(kept.error());
  }
  if (piece != take.piece || tempo != take.tempo_bpm || lesson != take.lesson ||
      item != take.item) {
    s.hearings.cancel(take.id);
    if (auto queued = s.book.takes().queue(take.id); !queued) return refuse(queued.error());
    s.hearings.wake();
  }
  tell_take(s, take.id);
  return take_answer(s, take.id);
}

Answer remove_take(const Services& s, const Call& call) {
  s.hearings.cancel(call.id());
  const auto removed = s.book.takes().remove(call.id());
  if (!removed) return refuse(removed.error());
  if (!*removed) return no_such("take");
  tell_take(s, call.id());
  return no_content();
}

// All that were heard against an earlier score, of a lesson or of a piece.
Answer retry_earlier(const Services& s, const Call& call) {
  book::TakeQuery query;
  query.earlier_score = true;
  query.limit = 1000;
  Fields fields(call);
  fields.maybe_id("lesson", query.lesson).maybe_id("piece", query.piece);
  if (!query.lesson && !query.piece)
    fields.wrong("lesson", "neither a lesson nor a piece is named");
  if (fields.problem()) return *fields.problem();
  std::size_t count = 0;
  while (true) {
    const auto takes = s.book.takes().list(query);
    if (!takes) return refuse(takes.error());
    if (takes->empty()) break;
    for (const book::Take& take : *takes) {
      if (auto queued = s.book.takes().queue(take.id); !queued) return refuse(queued.error());
    }
    s.hearings.wake();
    for (const book::Take& take : *takes) tell_take(s, take.id);
    count += takes->size();
    query.before = takes->back().id;
  }
  return json_answer({{"queued", count}});
}

Answer retry(const Services& s, const Call& call) {
  const Found found = find_take(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& take = std::get<book::Take>(found);
  if (!take.piece) {
    return refuse(409, Error{ErrorKind::input, take.file_name, "", "no piece is given to the take",
                             "Say which piece it is."});
  }
  if (take.state != book::TakeState::hearing) {
    if (auto queued = s.book.takes().queue(take.id); !queued) return refuse(queued.error());
    s.hearings.wake();
    tell_take(s, take.id);
  }
  return take_answer(s, take.id);
}

Answer cancel(const Services& s, const Call& call) {
  const Found found = find_take(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  if (!s.hearings.cancel(call.id())) {
    auto stopped = s.book.takes().failed(call.id(), Error{ErrorKind::input, "", "", "stopped",
                                                          "Have it heard again when you like."});
    if (!stopped) return refuse(stopped.error());
    tell_take(s, call.id());
  }
  return take_answer(s, call.id());
}

Answer audio(const Services& s, const Call& call) {
  const Found found = find_take(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& take = std::get<book::Take>(found);
  const auto wav = playable(s.book.takes().original(take), s.book.takes().folder(take));
  if (!wav) return refuse(wav.error());
  Answer answer;
  answer.type = "audio/wav";
  answer.file = FileBody{*wav};
  return answer;
}

Answer peaks(const Services& s, const Call& call) {
  const Found found = find_take(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& take = std::get<book::Take>(found);
  const auto rate = query_number(call, "per_second", 1, 200);
  if (const auto* no = std::get_if<Answer>(&rate)) return *no;
  const auto per_second = std::get<0>(rate).value_or(50);
  const auto wav = playable(s.book.takes().original(take), s.book.takes().folder(take));
  if (!wav) return refuse(wav.error());
  const auto sound = decode(wav->string());
  if (!sound) return refuse(sound.error());
  const auto step = static_cast<std::size_t>(std::max(1.0, sound->rate / per_second));
  Json list = Json::array();
  for (std::size_t from = 0; from < sound->samples.size(); from += step) {
    const auto begin = sound->samples.begin() + static_cast<std::ptrdiff_t>(from);
    const auto end = sound->samples.begin() +
                     static_cast<std::ptrdiff_t>(std::min(from + step, sound->samples.size()));
    const auto [low, high] = std::minmax_element(begin, end);
    list.push_back({std::round(*low * 1000) / 1000, std::round(*high * 1000) / 1000});
  }
  const double exact = static_cast<double>(sound->rate) / static_cast<double>(step);
  return tagged(call, dump({{"per_second", exact}, {"peaks", list}}));
}

Answer senders(const Services& s) {
  const auto names = s.book.takes().senders();
  return names ? json_answer({{"senders", *names}}) : refuse(names.error());
}

Answer original(const Services& s, const Call& call) {
  const Found found = find_take(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& take = std::get<book::Take>(found);
  Answer answer;
  answer.type = media_type(book::plain_extension(take.file_name));
  answer.file = FileBody{s.book.takes().original(take)};
  if (answer.type == "application/octet-stream") {
    answer.with("Content-Disposition", attachment(take.file_name));
  }
  return answer;
}

}  // namespace

Json take_json(const Services& s, const book::Take& take) {
  const double progress = take.state == book::TakeState::heard ? 1.0 : s.hearings.progress(take.id);
  return to_json(take, progress);
}

void add_take_routes(Router& r, Services s) {
  r.add("GET", "/api/senders", [s](const Call&) { return senders(s); });
  r.add("GET", "/api/takes", [s](const Call& c) { return list_takes(s, c); });
  r.add("GET", "/api/takes/{id}", [s](const Call& c) { return take_answer(s, c.id()); });
  r.add("PATCH", "/api/takes/{id}", [s](const Call& c) { return change_take(s, c); });
  r.add("DELETE", "/api/takes/{id}", [s](const Call& c) { return remove_take(s, c); });
  r.add("POST", "/api/takes/retry", [s](const Call& c) { return retry_earlier(s, c); });
  r.add("POST", "/api/takes/{id}/retry", [s](const Call& c) { return retry(s, c); });
  r.add("POST", "/api/takes/{id}/cancel", [s](const Call& c) { return cancel(s, c); });
  r.add("GET", "/api/takes/{id}/audio", [s](const Call& c) { return audio(s, c); });
  r.add("GET", "/api/takes/{id}/peaks", [s](const Call& c) { return peaks(s, c); });
  r.add("GET", "/api/takes/{id}/original", [s](const Call& c) { return original(s, c); });
}

}  // namespace endpin::desk
