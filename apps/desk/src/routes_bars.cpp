#include <map>

#include "book_json.h"
#include "services.h"

namespace endpin::desk {
namespace {

std::vector<std::string> words(const std::string& text) {
  std::vector<std::string> found;
  std::size_t from = 0;
  while (from < text.size()) {
    const std::size_t blank = std::min(text.find(' ', from), text.size());
    found.push_back(text.substr(from, blank - from));
    from = blank + 1;
  }
  return found;
}

/// One bar over all students' newest takes.
struct BarOfMany {
  std::map<book::Id, bool> students;  ///< whether there was something to work on
  std::map<std::string, int> kinds;
  double cents = 0;
  int cents_of = 0;
  double deviation = 0;
  int deviation_of = 0;

  void add(const book::BarOfTake& one) {
    const bool tripped = !one.bar.kinds.empty();
    students[one.student] = students[one.student] || tripped;
    for (const std::string& kind : words(one.bar.kinds)) ++kinds[kind];
    if (one.bar.intonation_cents) cents += *one.bar.intonation_cents, ++cents_of;
    if (one.bar.deviation_ms) deviation += *one.bar.deviation_ms, ++deviation_of;
  }

  Json json(const std::string& bar) const {
    const auto tripped =
        std::count_if(students.begin(), students.end(), [](const auto& s) { return s.second; });
    return {{"bar", bar},
            {"takes", students.size()},
            {"students", students.size()},
            {"tripped", tripped},
            {"kinds", kinds},
            {"intonation_cents", cents_of > 0 ? Json(cents / cents_of) : Json(nullptr)},
            {"deviation_ms", deviation_of > 0 ? Json(deviation / deviation_of) : Json(nullptr)}};
  }
};

Answer bars_of_everybody(const Services& s, const Call& call) {
  const auto rows = s.book.takes().newest_bars(call.id(), query_id(call, "group"), {});
  if (!rows) return refuse(rows.error());
  std::vector<std::string> order;
  std::map<std::string, BarOfMany> by_bar;
  for (const book::BarOfTake& row : *rows) {
    if (!by_bar.count(row.bar.bar)) order.push_back(row.bar.bar);
    by_bar[row.bar.bar].add(row);
  }
  Json list = Json::array();
  for (const std::string& bar : order) list.push_back(by_bar[bar].json(bar));
  return json_answer({{"bars", list}});
}

Answer takes_answer(const Result<std::vector<book::BarOfTake>>& rows) {
  if (!rows) return refuse(rows.error());
  Json list = Json::array();
  for (const book::BarOfTake& row : *rows) {
    list.push_back({{"take", row.take},
                    {"student", {{"id", row.student}, {"name", row.student_name}}},
                    {"recorded", row.when},
                    {"from_s", row.bar.from_s},
                    {"to_s", row.bar.to_s},
                    {"pass", row.bar.pass},
                    {"intonation_cents", or_null(row.bar.intonation_cents)},
                    {"deviation_ms", or_null(row.bar.deviation_ms)},
                    {"sounding_ratio", or_null(row.bar.sounding_ratio)},
                    {"findings", words(row.bar.kinds)}});
  }
  return json_answer({{"takes", list}});
}

Answer takes_of_bar(const Services& s, const Call& call) {
  return takes_answer(
      s.book.takes().newest_bars(call.id(), query_id(call, "group"), call.words.at(1)));
}

Answer bar_of_student(const Services& s, const Call& call) {
  const auto piece = query_id(call, "piece");
  if (!piece) return refuse_value("piece", "not said", "Say which piece the bar is of.");
  return takes_answer(s.book.takes().bar_of_student(call.id(), *piece, call.words.at(1)));
}

}  // namespace

void add_bar_routes(Router& r, Services s) {
  r.add("GET", "/api/pieces/{id}/bars", [s](const Call& c) { return bars_of_everybody(s, c); });
  r.add("GET", "/api/pieces/{id}/bars/{bar}/takes",
        [s](const Call& c) { return takes_of_bar(s, c); });
  r.add("GET", "/api/students/{id}/bars/{bar}",
        [s](const Call& c) { return bar_of_student(s, c); });
}

}  // namespace endpin::desk
