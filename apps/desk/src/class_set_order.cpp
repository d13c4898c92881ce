#include "class_set_order.h"

#include <algorithm>

#include "endpin/lesson/ladder.h"

#include "lesson_order.h"

namespace endpin::desk {
namespace {

constexpr int most_signs = 7;

std::vector<std::string> words(const std::string& text, char between) {
  std::vector<std::string> found;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(between, at), text.size());
    if (end > at) found.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return found;
}

Json number(const std::string& text) {
  const Json read = Json::parse(text, nullptr, false);
  return read.is_number() ? read : Json(text);
}

const Instrument* named_instrument(const Json& name) {
  return name.is_string() ? find_instrument(name.get<std::string>()) : nullptr;
}

void read_instruments(Fields& fields, std::vector<InstrumentKind>& target) {
  if (!fields.has("instruments")) return;
  const Json& names = fields.json()["instruments"];
  std::vector<InstrumentKind> kinds;
  for (const Json& name : names.is_array() ? names : Json::array()) {
    const Instrument* one = named_instrument(name);
    if (one == nullptr) return fields.wrong("instruments", "not a list of instruments");
    kinds.push_back(one->kind);
  }
  if (kinds.empty() || kinds.size() > all_instruments.size()) {
    return fields.wrong("instruments", "not a list of one to four instruments");
  }
  target = std::move(kinds);
}

void read_steps(Fields& fields, std::map<InstrumentKind, std::string>& target) {
  if (!fields.has("steps")) return;
  const Json& steps = fields.json()["steps"];
  if (!steps.is_object()) return fields.wrong("steps", "not a step for each instrument");
  target.clear();
  for (const auto& [name, step] : steps.items()) {
    const Instrument* one = find_instrument(name);
    if (one == nullptr || !step.is_string()) {
      return fields.wrong("steps", "not a step for each instrument");
    }
    target[one->kind] = step.get<std::string>();
  }
}

void read_lines(Fields& fields, std::set<SetLineKind>& left_out) {
  if (!fields.has("lines")) return;
  const Json& lines = fields.json()["lines"];
  if (!lines.is_array()) return fields.wrong("lines", "not a list of lines");
  left_out.clear();
  std::size_t wanted = 0;
  for (const SetLineKind kind : all_set_lines) {
    if (kind == SetLineKind::tune) continue;
    const bool there = std::find(lines.begin(), lines.end(), Json(name(kind))) != lines.end();
    if (there) {
      ++wanted;
    } else {
      left_out.insert(kind);
    }
  }
  if (wanted != lines.size()) fields.wrong("lines", "not a list of lines, each once");
}

}  // namespace

void read(Fields& fields, app::ClassSetOrder& order) {
  read_instruments(fields, order.instruments);
  read_steps(fields, order.steps);
  read_lines(fields, order.left_out);
  std::string paper = order.paper == app::Paper::letter ? "letter" : "a4";
  fields.maybe_integer("fifths", order.fifths, -most_signs, most_signs)
      .maybe_real("tempo_bpm", order.beats_per_minute, slowest_goal, fastest_goal)
      .one_of("paper", paper, {"a4", "letter"})
      .flag("large_print", order.large_print)
      .date("date", order.date);
  order.paper = paper == "letter" ? app::Paper::letter : app::Paper::a4;
}

Json class_set_members(const Call& call) {
  Json members = Json::object();
  for (const char* list : {"instruments", "lines"}) {
    if (const auto text = call.query_text(list)) members[list] = words(*text, ',');
  }
  for (const char* figure : {"fifths", "tempo_bpm"}) {
    if (const auto text = call.query_text(figure)) members[figure] = number(*text);
  }
  if (const auto steps = call.query_text("steps")) {
    members["steps"] = Json::object();
    for (const std::string& one : words(*steps, ',')) {
      const std::size_t colon = std::min(one.find(':'), one.size());
      members["steps"][one.substr(0, colon)] = one.substr(std::min(colon + 1, one.size()));
    }
  }
  return members;
}

Result<app::ClassSetOrder> class_set_order(book::Book& book, MarkedScores& scores,
                                           const book::Piece& piece) {
  const auto marked = scores.get(piece);
  if (!marked) return Unexpected(marked.error());
  app::ClassSetOrder order;
  order.input = *(*marked)->score;
  order.teacher = (*marked)->teacher;
  order.rules = (*marked)->rules;
  order.beats_per_minute = piece.tempo_bpm;
  order.language = language_of(book);
  order.date = book::date(std::chrono::floor<std::chrono::days>(book.clock()()));
  return order;
}

Result<app::ClassSetOrder> class_set_order(book::Book& book, MarkedScores& scores,
                                           const book::Piece& piece, const book::ClassSet& set) {
  auto order = class_set_order(book, scores, piece);
  if (!order) return order;
  Json wanted = Json::parse(set.wanted, nullptr, false);
  Fields fields(wanted.is_object() ? std::move(wanted) : Json::object());
  read(fields, *order);
  return order;
}

}  // namespace endpin::desk
