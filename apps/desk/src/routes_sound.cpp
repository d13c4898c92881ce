#include <regex>

#include "endpin/book/upload.h"

#include "marked_score.h"
#include "services.h"
#include "sound_shelf.h"

namespace endpin::desk {
namespace {

using Wanted = std::variant<PerformOptions, Answer>;

bool read_bars(const std::string& text, PerformOptions& options) {
  static const std::regex form("([^-]+)(?:-([^-]+))?");
  std::smatch parts;
  if (!std::regex_match(text, parts, form)) return false;
  options.first_bar = parts[1];
  options.last_bar = parts[2].matched ? parts[2].str() : parts[1].str();
  return true;
}

Wanted performance_wanted(const Call& call) {
  PerformOptions options;
  const auto tempo = query_number(call, "tempo", slowest_beat, fastest_beat);
  if (const auto* no = std::get_if<Answer>(&tempo)) return *no;
  options.beats_per_minute = std::get<std::optional<double>>(tempo);
  const auto count_in = query_number(call, "count_in", 0, 8);
  if (const auto* no = std::get_if<Answer>(&count_in)) return *no;
  options.count_in_bars = static_cast<int>(std::get<std::optional<double>>(count_in).value_or(0));
  options.click = query_flag(call, "click");
  options.drone = query_flag(call, "drone");
  options.part = !query_flag(call, "without_part");
  const auto bars = call.query_text("bars");
  if (bars && !bars->empty() && !read_bars(*bars, options)) {
    return refuse_value("bars", "is not a range of bars", "Say bars=3-6.");
  }
  return options;
}

Answer sound(const Services& s, const Call& call, bool times) {
  Wanted wanted = performance_wanted(call);
  if (const auto* no = std::get_if<Answer>(&wanted)) return *no;
  auto& options = std::get<PerformOptions>(wanted);
  const auto piece = s.book.pieces().find(call.id());
  if (!piece) return refuse(piece.error());
  if (!*piece) return no_such("piece");
  auto marked = marked_score(s.book, s.scores, **piece);
  if (!marked) return refuse(marked.error());
  marked->timeline.instrument = marked->score->instrument;
  if (!options.beats_per_minute) options.beats_per_minute = (*piece)->tempo_bpm;
  const auto played =
      s.sounds.get(book::sha256(to_json(marked->timeline)), marked->timeline, options);
  if (!played) return refuse(played.error());
  return times ? tagged(call, (*played)->times) : tagged(call, (*played)->wav, "audio/wav");
}

}  // namespace

void add_sound_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces/{id}/sound.wav", [s](const Call& c) { return sound(s, c, false); });
  r.add("GET", "/api/pieces/{id}/sound.json", [s](const Call& c) { return sound(s, c, true); });
}

}  // namespace endpin::desk
