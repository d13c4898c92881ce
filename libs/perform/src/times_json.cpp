#include <cmath>

#include <nlohmann/json.hpp>

#include "endpin/perform/perform.h"

namespace endpin {
namespace {

// Tenths of a millisecond: finer than anybody hears, and short to write.
double rounded(Seconds time) { return std::round(time.value() * 10000) / 10000; }

}  // namespace

std::string times_to_json(const Performance& performance) {
  nlohmann::ordered_json json;
  json["schema"] = "endpin.times/1";
  json["seconds"] = rounded(performance.audio.duration());
  json["count_in_s"] = rounded(performance.count_in);
  json["beats_per_minute"] = performance.beats_per_minute;
  json["notes"] = nlohmann::ordered_json::array();
  for (const NoteTime& note : performance.notes) {
    json["notes"].push_back(
        {{"index", note.index}, {"onset_s", rounded(note.start)}, {"offset_s", rounded(note.end)}});
  }
  json["clicks"] = nlohmann::ordered_json::array();
  for (const ClickTime& click : performance.clicks) {
    json["clicks"].push_back(
        {{"at_s", rounded(click.at)}, {"strong", click.accented}, {"count_in", click.count_in}});
  }
  json["bars"] = nlohmann::ordered_json::array();
  for (const BarTime& bar : performance.bars) {
    json["bars"].push_back({{"bar", bar.bar}, {"pass", bar.pass}, {"start_s", rounded(bar.start)}});
  }
  return json.dump();
}

}  // namespace endpin
