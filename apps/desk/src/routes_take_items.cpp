#include "endpin/listen/findings.h"

#include "book_json.h"
#include "followed_hearing.h"
#include "services.h"
#include "take_items.h"

namespace endpin::desk {
namespace {

Answer not_heard(const book::Take& take) {
  return refuse(409, Error{ErrorKind::input, take.file_name, "", "it has not been heard yet",
                           "Wait until its state is `heard`."});
}

/// Runs `then` with a take that was heard, or answers why not.
template <typename Then>
Answer with_heard(const Services& s, const Call& call, const Then& then) {
  const auto take = s.book.takes().find(call.id());
  if (!take) return refuse(take.error());
  if (!*take) return no_such("take");
  if ((*take)->state != book::TakeState::heard) return not_heard(**take);
  return then(**take);
}

/// Runs `then` with the take's folder and the number of an exercise in it.
template <typename Then>
Answer with_exercise(const Services& s, const Call& call, const Then& then) {
  return with_heard(s, call, [&](const book::Take& take) {
    const auto folder = s.book.takes().folder(take);
    for (const HeardItem& item : heard_items(folder)) {
      if (item.item != 0 && std::to_string(item.item) == call.words.at(1)) {
        return then(take, folder, item.item);
      }
    }
    return no_such("item");
  });
}

// The piece may have been mended since; an exercise stays as it went home.
Result<Hearing> followed_hearing(const Services& s, const book::Take& take, int item) {
  auto hearing = hearing_of(s.book.takes().folder(take), item);
  if (!hearing || item != 0) return hearing;
  const auto piece = s.book.pieces().find(take.piece.value_or(0));
  if (!piece) return Unexpected(piece.error());
  if (!*piece) return hearing;
  const auto score = s.scores.get(**piece);
  if (!score) return Unexpected(score.error());
  return followed(std::move(*hearing), (*score)->timeline);
}

Answer hearing_answer(const Services& s, const Call& call, const book::Take& take, int item) {
  auto hearing = followed_hearing(s, take, item);
  if (!hearing) return refuse(hearing.error());
  const Language language = language_of(s, call);
  for (Finding& finding : hearing->findings) finding.says = says(finding, language);
  return tagged(call, to_json(*hearing));
}

Json playing_times(const Hearing& hearing) {
  Json times = Json::array();
  for (const Segment& segment : hearing.segments) {
    if (segment.kind != SegmentKind::playing) continue;
    times.push_back({{"from_s", segment.from.value()}, {"to_s", segment.to.value()}});
  }
  return times;
}

Json item_json(const HeardItem& item, const Hearing& hearing, Language language) {
  int work = 0, good = 0;
  for (const Finding& f : hearing.findings) ++(tone(f.kind) == Tone::work ? work : good);
  return {{"item", item.item},
          {"key", item.key},
          {"kind", item.kind},
          {"title", say(item.title, language)},
          {"bars", item.bars},
          {"status", name(hearing.status)},
          {"playing", playing_times(hearing)},
          {"work", work},
          {"good", good}};
}

Answer items(const Services& s, const Call& call) {
  return with_heard(s, call, [&](const book::Take& take) {
    const auto folder = s.book.takes().folder(take);
    Json list = Json::array();
    for (const HeardItem& item : heard_items(folder)) {
      const auto hearing = hearing_of(folder, item.item);
      if (!hearing) return refuse(hearing.error());
      list.push_back(item_json(item, *hearing, language_of(s, call)));
    }
    return json_answer({{"items", list}});
  });
}

Answer timeline(const Services& s, const Call& call) {
  return with_exercise(s, call, [&](const book::Take&, const auto& folder, int item) {
    const auto played = exercise_timeline(folder, item);
    return played ? tagged(call, to_json(*played)) : refuse(played.error());
  });
}

Answer engraving(const Services& s, const Call& call) {
  return with_exercise(s, call, [&](const book::Take& take, const auto& folder, int item) {
    const auto written = exercise_musicxml(folder, item);
    if (!written) return refuse(written.error());
    return engraving_answer(s, call, take.piece.value_or(0), *written);
  });
}

Answer sound(const Services& s, const Call& call, bool times) {
  return with_exercise(s, call, [&](const book::Take&, const auto& folder, int item) {
    const auto played = exercise_timeline(folder, item);
    if (!played) return refuse(played.error());
    PerformOptions options;
    if (auto no = read_perform_options(call, options)) return *no;
    return sound_answer(s, call, *played, options, times);
  });
}

}  // namespace

void add_take_item_routes(Router& r, Services s) {
  r.add("GET", "/api/takes/{id}/hearing", [s](const Call& c) {
    return with_heard(s, c, [&](const book::Take& take) { return hearing_answer(s, c, take, 0); });
  });
  r.add("GET", "/api/takes/{id}/items", [s](const Call& c) { return items(s, c); });
  const std::string one = "/api/takes/{id}/items/{item}/";
  r.add("GET", one + "hearing", [s](const Call& c) {
    return with_exercise(s, c, [&](const book::Take& take, const auto&, int item) {
      return hearing_answer(s, c, take, item);
    });
  });
  r.add("GET", one + "timeline", [s](const Call& c) { return timeline(s, c); });
  r.add("GET", one + "engraving", [s](const Call& c) { return engraving(s, c); });
  r.add("GET", one + "sound.wav", [s](const Call& c) { return sound(s, c, false); });
  r.add("GET", one + "sound.json", [s](const Call& c) { return sound(s, c, true); });
}

}  // namespace endpin::desk
