#include "endpin/app/files.h"

#include "fields.h"
#include "services.h"

namespace endpin::desk {
std::optional<Answer> read_perform_options(const Call& call, PerformOptions& options) {
  const auto tempo = query_number(call, "tempo", slowest_beat, fastest_beat);
  if (const auto* no = std::get_if<Answer>(&tempo)) return *no;
  options.beats_per_minute = std::get<0>(tempo);
  const auto count_in = query_number(call, "count_in", 0, 8);
  if (const auto* no = std::get_if<Answer>(&count_in)) return *no;
  options.count_in_bars = static_cast<int>(std::get<0>(count_in).value_or(0));
  options.click = query_flag(call, "click");
  options.drone = query_flag(call, "drone");
  options.part = !query_flag(call, "without_part");
  if (const auto bars = call.query_text("bars")) {
    const std::size_t dash = bars->find('-', 1);
    options.first_bar = bars->substr(0, dash);
    options.last_bar = dash == std::string::npos ? options.first_bar : bars->substr(dash + 1);
  }
  return std::nullopt;
}

namespace {

Answer sound(const Services& s, const Call& call, bool times) {
  const auto piece = s.book.pieces().find(call.id());
  if (!piece) return refuse(piece.error());
  if (!*piece) return no_such("piece");
  const auto marked = s.marked.get(**piece);
  if (!marked) return refuse(marked.error());
  PerformOptions options;
  options.beats_per_minute = (*piece)->tempo_bpm;
  const auto usual = options.beats_per_minute;
  if (auto no = read_perform_options(call, options)) return *no;
  if (!options.beats_per_minute) options.beats_per_minute = usual;
  return sound_answer(s, call, (*marked)->timeline, options, times);
}

}  // namespace

Answer sound_answer(const Services& s, const Call& call, const Timeline& timeline,
                    const PerformOptions& options, bool times) {
  const auto made = s.sounds.make(timeline, options);
  if (!made) {
    const bool asked = made.error().kind != ErrorKind::machine;
    return asked ? refuse(400, made.error()) : refuse(made.error());
  }
  if (times) {
    auto json = app::read_file(made->times);
    return json ? tagged(call, std::move(*json)) : refuse(json.error());
  }
  Answer answer;
  answer.type = "audio/wav";
  answer.file = FileBody{made->wav};
  const std::string tag = '"' + made->wav.stem().string() + '"';
  answer.with("ETag", tag).with("Cache-Control", "no-cache");
  if (call.header("If-None-Match") == tag) {
    answer.status = 304;
    answer.type.clear();
    answer.file.reset();
  }
  return answer;
}

void add_sound_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces/{id}/sound.wav", [s](const Call& c) { return sound(s, c, false); });
  r.add("GET", "/api/pieces/{id}/sound.json", [s](const Call& c) { return sound(s, c, true); });
}

}  // namespace endpin::desk
