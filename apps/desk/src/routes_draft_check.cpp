#include <map>

#include "endpin/instrument/stops.h"

#include "services.h"

namespace endpin::desk {
namespace {

// Which note as written a note of the timeline is, rests apart: the page counts the same way.
std::map<std::string, int> places(const Part& part) {
  std::map<std::string, int> places;
  for (const Bar& bar : part.bars) {
    for (const Note& note : bar.notes) {
      if (!note.is_rest()) places.emplace(note.id, static_cast<int>(places.size()));
    }
  }
  return places;
}

Json out_of_hand(const app::ScoreInput& input, const Instrument& instrument,
                 const std::string& step) {
  const Part& part = input.score.parts[static_cast<std::size_t>(input.part)];
  const std::map<std::string, int> place = places(part);
  std::map<int, Json> found;
  for (const TimelineNote& note : input.timeline.notes) {
    if (!stops(instrument, note.spelled, reach(instrument, step)).empty()) continue;
    const bool anywhere = !stops(instrument, note.spelled, instrument.reaches.back()).empty();
    const int at = place.at(note.id);
    found[at] = {{"note", at}, {"spelled", note.spelled.text()}, {"anywhere", anywhere}};
  }
  Json list = Json::array();
  for (auto& [at, json] : found) list.push_back(std::move(json));
  return {{"notes", place.size()}, {"out", std::move(list)}};
}

// A tune that cannot be read yet has nothing to say here: keeping it says why.
Answer check(const Services& s, const Call& call) {
  const auto draft = s.book.drafts().find(call.id());
  if (!draft) return refuse(draft.error());
  if (!*draft) return no_such("draft");
  const Instrument& instrument = *find_instrument((*draft)->instrument);
  Json steps = Json::array();
  for (const Reach& reach : instrument.reaches) steps.push_back(reach.step);
  const auto input = app::score_input((*draft)->text, "tune.abc", {"", 0, (*draft)->instrument});
  const std::string step = call.query_text("step").value_or("first-position");
  Json json =
      input ? out_of_hand(*input, instrument, step) : Json{{"notes", 0}, {"out", Json::array()}};
  json["steps"] = std::move(steps);
  return json_answer(json);
}

}  // namespace

void add_draft_check_routes(Router& r, Services s) {
  r.add("GET", "/api/drafts/{id}/check", [s](const Call& c) { return check(s, c); });
}

}  // namespace endpin::desk
