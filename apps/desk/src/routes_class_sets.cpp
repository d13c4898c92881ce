#include <algorithm>

#include "book_json.h"
#include "class_set_order.h"
#include "folder_files.h"
#include "services.h"

namespace endpin::desk {
namespace {

struct Planned {
  app::ClassSetOrder order;
  ClassSet set;
};

// What the call's words make of the piece.
std::variant<Planned, Answer> plan(const Services& s, const book::Piece& piece, Fields fields,
                                   Language language) {
  auto order = class_set_order(s.book, s.marked, piece);
  if (!order) return refuse(order.error());
  order->language = language;
  read(fields, *order);
  if (fields.problem()) return *fields.problem();
  auto set = app::plan_class_set(*order);
  if (!set) return refuse(400, set.error());
  return Planned{std::move(*order), std::move(*set)};
}

Json steps_json(const Instrument& instrument, Language language) {
  Json steps = Json::array();
  for (const Reach& reach : instrument.reaches) {
    steps.push_back(
        {{"key", reach.step}, {"name", say("step." + std::string(reach.step), language)}});
  }
  return steps;
}

// The page draws nothing of a set before it is made, so that the played notes stay here.
Json plan_json(const Planned& planned) {
  Json json = Json::parse(app::class_set_json(planned.order, planned.set));
  for (Json& part : json["parts"]) {
    for (Json& line : part["lines"]) line.erase("timeline");
    const Instrument& one = *find_instrument(part["instrument"].get<std::string>());
    part["steps"] = steps_json(one, planned.order.language);
  }
  return json;
}

Answer plan_of(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto planned =
      plan(s, std::get<book::Piece>(found), Fields(class_set_members(call)), language_of(s, call));
  if (const auto* no = std::get_if<Answer>(&planned)) return *no;
  return tagged(call, dump(plan_json(std::get<Planned>(planned))));
}

std::string words_of(const Planned& planned, const std::string& without) {
  std::string words = "class set without " + without;
  for (const SetLine& line : planned.set.lines) {
    if (line.kind == SetLineKind::tune) words += " " + to_json(line.timeline);
  }
  return words + " " + std::to_string(planned.order.beats_per_minute.value_or(0));
}

Answer sound_of(const Services& s, const Call& call) {
  const FoundPiece found = find_piece(s, call.id());
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  auto planned =
      plan(s, std::get<book::Piece>(found), Fields(class_set_members(call)), language_of(s, call));
  if (const auto* no = std::get_if<Answer>(&planned)) return *no;
  const auto& [order, set] = std::get<Planned>(planned);
  const std::string without = call.query_text("without").value_or("");
  std::optional<InstrumentKind> silent;
  if (const Instrument* one = find_instrument(without)) silent = one->kind;
  if (!without.empty() && !silent) {
    return refuse_value("without", "not an instrument", "Give one of the set's.");
  }
  const auto file = s.sounds.make(
      words_of(std::get<Planned>(planned), without),
      [&order = order, &set = set, silent](const SoundMaker::Tones& tones) {
        const auto of = [&](const Instrument& one) { return tones(std::string(one.name)); };
        return app::class_set_sound(order, set, silent, of);
      });
  if (!file) return refuse(file.error());
  Answer answer;
  answer.type = "audio/wav";
  answer.file = FileBody{*file};
  return answer;
}

/// Runs `then` with the set, or answers that there is none.
template <typename Then>
Answer with_set(const Services& s, const Call& call, const Then& then) {
  auto set = s.book.class_sets().find(call.id());
  if (!set) return refuse(set.error());
  return *set ? then(**set) : no_such("class set");
}

Answer set_answer(const Services& s, book::Id id, int status = 200) {
  const auto set = s.book.class_sets().find(id);
  if (!set) return refuse(set.error());
  return *set ? json_answer(class_set_json(s, **set), status) : no_such("class set");
}

Answer list_sets(const Services& s, const Call& call) {
  const auto sets = s.book.class_sets().list(query_id(call, "piece"));
  if (!sets) return refuse(sets.error());
  Json list = Json::array();
  for (const book::ClassSet& set : *sets) list.push_back(class_set_json(s, set));
  return json_answer({{"sets", list}});
}

// The order as it was understood: everything said, nothing but what is known.
Json wanted_json(const Planned& planned) {
  const app::ClassSetOrder& order = planned.order;
  Json instruments = Json::array();
  Json steps = Json::object();
  for (const InstrumentKind kind : order.instruments) {
    const std::string name(instrument(kind).name);
    instruments.push_back(name);
    steps[name] = planned.set.find(SetLineKind::tune, kind)->hand;
  }
  Json lines = Json::array();
  for (const SetLineKind kind : all_set_lines) {
    if (kind != SetLineKind::tune && order.left_out.count(kind) == 0) lines.push_back(name(kind));
  }
  return {{"instruments", instruments},
          {"steps", steps},
          {"fifths", planned.set.key.fifths},
          {"lines", lines},
          {"tempo_bpm", or_null(order.beats_per_minute)},
          {"paper", order.paper == app::Paper::letter ? "letter" : "a4"},
          {"large_print", order.large_print},
          {"date", order.date}};
}

Answer add_set(const Services& s, const Call& call) {
  Fields fields(call);
  std::optional<book::Id> id;
  fields.require("piece").maybe_id("piece", id);
  if (fields.problem()) return *fields.problem();
  const FoundPiece found = find_piece(s, id.value_or(0));
  if (const auto* no = std::get_if<Answer>(&found)) return *no;
  const auto& piece = std::get<book::Piece>(found);
  const auto planned = plan(s, piece, fields, language_of(s, call));
  if (const auto* no = std::get_if<Answer>(&planned)) return *no;
  book::ClassSet set;
  set.piece = piece.id;
  set.wanted = dump(wanted_json(std::get<Planned>(planned)));
  const auto added = s.book.class_sets().add(set);
  if (!added) return refuse(added.error());
  s.class_sets.make(*added);
  return set_answer(s, *added, 201);
}

// "stopped" is written first, so that a set that is done in the same moment is not kept.
Answer cancel_set(const Services& s, const Call& call) {
  return with_set(s, call, [&](book::ClassSet& set) {
    if (set.state != "making") {
      return refuse(409, Error{ErrorKind::input, "", "", "the set is not being made",
                               "Delete it if you do not want it."});
    }
    set.state = "stopped";
    if (auto kept = s.book.class_sets().change(set); !kept) return refuse(kept.error());
    s.class_sets.cancel(set.id);
    return set_answer(s, set.id);
  });
}

Answer remove_set(const Services& s, const Call& call) {
  const auto gone = s.book.class_sets().remove(call.id());
  if (!gone) return refuse(gone.error());
  if (!*gone) return no_such("class set");
  s.class_sets.cancel(call.id());
  return no_content();
}

Answer set_file(const Services& s, const Call& call) {
  return with_set(s, call, [&](const book::ClassSet& set) {
    return file_in(s.book.class_sets().folder(set), call.words.at(1));
  });
}

}  // namespace

Json class_set_json(const Services& s, const book::ClassSet& set) {
  const Json wanted = Json::parse(set.wanted, nullptr, false);
  return {{"id", set.id},
          {"piece", {{"id", set.piece}, {"title", set.piece_title}}},
          {"wanted", wanted.is_object() ? wanted : Json::object()},
          {"state", set.state},
          {"doing", set.state == "making" ? s.class_sets.doing(set.id) : ""},
          {"error", set.failure ? to_json(*set.failure) : Json(nullptr)},
          {"created", set.created},
          {"files", set.state == "ready" ? Json(file_names(s.book.class_sets().folder(set)))
                                         : Json::array()}};
}

void add_class_set_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces/{id}/set", [s](const Call& c) { return plan_of(s, c); });
  r.add("GET", "/api/pieces/{id}/set.wav", [s](const Call& c) { return sound_of(s, c); });
  r.add("GET", "/api/sets", [s](const Call& c) { return list_sets(s, c); });
  r.add("POST", "/api/sets", [s](const Call& c) { return add_set(s, c); });
  r.add("GET", "/api/sets/{id}", [s](const Call& c) { return set_answer(s, c.id()); });
  r.add("DELETE", "/api/sets/{id}", [s](const Call& c) { return remove_set(s, c); });
  r.add("POST", "/api/sets/{id}/cancel", [s](const Call& c) { return cancel_set(s, c); });
  r.add("GET", "/api/sets/{id}/files/{name}", [s](const Call& c) { return set_file(s, c); });
}

}  // namespace endpin::desk
