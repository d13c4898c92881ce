#include <array>

#include <nlohmann/json.hpp>

#include "endpin/technique/markings.h"

namespace endpin {
namespace {

using nlohmann::json;

constexpr std::array<std::string_view, 3> origins{"printed", "teacher", "proposed"};
constexpr std::array<std::string_view, 2> bows{"down", "up"};
constexpr std::array<std::string_view, 4> link_names{"first", "alternate", "retake", "hook"};
constexpr std::array<std::string_view, 3> extensions{"none", "backward", "forward"};

template <typename T>
json or_null(const std::optional<T>& value) {
  return value ? json(*value) : json(nullptr);
}

json sentence_json(const Sentence& sentence, Language language) {
  if (sentence.empty()) return nullptr;
  json args = json::object();
  for (const auto& [name, value] : sentence.args) args[name] = value;
  return {{"key", sentence.key}, {"args", args}, {"says", say(sentence, language)}};
}

json bow_json(const NoteMarking& note, Language language) {
  if (!note.bow) return nullptr;
  return {{"direction", name(*note.bow)},
          {"origin", name(note.bow_origin)},
          {"link", name(note.link)},
          {"shown", note.bow_shown},
          {"reason", sentence_json(note.bow_reason, language)}};
}

json note_json(const NoteMarking& note, Language language) {
  return {{"id", note.id},
          {"bar", note.bar},
          {"string", or_null(note.string)},
          {"string_origin", name(note.string_origin)},
          {"finger", or_null(note.finger)},
          {"finger_origin", name(note.finger_origin)},
          {"position", or_null(note.position)},
          {"position_key", note.position_key.empty() ? json(nullptr) : json(note.position_key)},
          {"extension", name(note.extension)},
          {"playable", note.playable},
          {"shift", note.shift},
          {"crossing", note.crossing},
          {"reason", sentence_json(note.fingering_reason, language)},
          {"bow", bow_json(note, language)}};
}

json stroke_json(const Stroke& stroke) {
  return {{"stroke_id", stroke.id},
          {"notes", stroke.notes},
          {"direction", name(stroke.bow)},
          {"link", name(stroke.link)},
          {"bow_start", stroke.span.start},
          {"bow_end", stroke.span.end},
          {"starts_at", bow_region(stroke.span.start)},
          {"ends_at", bow_region(stroke.span.end)},
          {"bow_lengths_per_second", stroke.span.speed},
          {"speed_ratio", or_null(stroke.span.speed_ratio)}};
}

json downbeat_json(const Downbeat& downbeat) {
  return {{"bar", downbeat.bar},
          {"pass", downbeat.pass},
          {"stroke_id", downbeat.stroke},
          {"direction", name(downbeat.bow)},
          {"continues", downbeat.continues}};
}

json option_json(const RemarkOption& option, Language language) {
  json result = sentence_json(option.says, language);
  result["notes"] = option.notes;
  result["cost"] = or_null(option.cost);
  result["proposed"] = option.proposed;
  return result;
}

json remark_json(const MarkingRemark& remark, Language language) {
  json options = json::array();
  for (const RemarkOption& o : remark.options) options.push_back(option_json(o, language));
  return {{"kind", remark.kind},
          {"bar", remark.bar},
          {"notes", remark.notes},
          {"message", sentence_json(remark.says, language)},
          {"options", options}};
}

json alternative_json(const MarkingAlternative& alternative, Language language) {
  json notes = json::array();
  for (const MarkingAlternative::Note& note : alternative.notes) {
    notes.push_back({{"id", note.id},
                     {"string", or_null(note.string)},
                     {"finger", or_null(note.finger)},
                     {"position", or_null(note.position)}});
  }
  const FingeringTrade& trade = alternative.trade;
  return {{"rank", alternative.rank},
          {"bar", alternative.bar},
          {"notes", notes},
          {"cost", alternative.cost},
          {"trade",
           {{"shifts", trade.shifts},
            {"crossings", trade.crossings},
            {"open_strings", trade.open_strings},
            {"fourth_fingers", trade.fourth_fingers},
            {"extensions", trade.extensions},
            {"position", trade.position}}},
          {"message", sentence_json(alternative.says, language)}};
}

}  // namespace

std::string_view name(Origin origin) { return origins[static_cast<std::size_t>(origin)]; }
std::string_view name(Bow bow) { return bows[static_cast<std::size_t>(bow)]; }
std::string_view name(StrokeLink link) { return link_names[static_cast<std::size_t>(link)]; }
std::string_view name(Extension extension) {
  return extensions[static_cast<std::size_t>(extension)];
}

std::string to_json(const Markings& markings, Language language) {
  json notes = json::array();
  for (const NoteMarking& note : markings.notes) notes.push_back(note_json(note, language));
  json strokes = json::array();
  for (const Stroke& stroke : markings.strokes) strokes.push_back(stroke_json(stroke));
  json downbeats = json::array();
  for (const Downbeat& d : markings.downbeats) downbeats.push_back(downbeat_json(d));
  json alternatives = json::array();
  for (const MarkingAlternative& a : markings.alternatives) {
    alternatives.push_back(alternative_json(a, language));
  }
  json remarks = json::array();
  for (const MarkingRemark& r : markings.remarks) remarks.push_back(remark_json(r, language));
  return json{{"schema", "endpin.markings/1"},
              {"instrument", markings.instrument},
              {"step", markings.step},
              {"notes", notes},
              {"strokes", strokes},
              {"downbeats", downbeats},
              {"alternatives", alternatives},
              {"remarks", remarks}}
      .dump();
}

}  // namespace endpin
