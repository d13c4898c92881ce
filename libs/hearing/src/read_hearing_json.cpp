// Reads `endpin.hearing/1`.
#include <nlohmann/json.hpp>

#include "endpin/base/whole_number.h"
#include "endpin/hearing/hearing.h"

namespace endpin {
namespace {

using nlohmann::json;

struct Malformed {
  std::string what;
};

std::optional<double> number(const json& object, const char* key) {
  const auto found = object.find(key);
  if (found == object.end() || !found->is_number()) return std::nullopt;
  return found->get<double>();
}
std::optional<int> optional_integer(const json& object, const char* key) {
  const auto found = object.find(key);
  return found == object.end() ? std::nullopt : whole_number(*found);
}
int integer(const json& object, const char* key) {
  const auto value = whole_number(object.at(key));
  if (!value) throw Malformed{std::string(key) + " is no whole number that can be held"};
  return *value;
}
int index_of_note(const json& value) {
  const auto index = whole_number(value);
  if (!index) throw Malformed{"an index of a note is no whole number"};
  return *index;
}
int integer_or(const json& object, const char* key, int otherwise) {
  return object.contains(key) ? integer(object, key) : otherwise;
}
template <typename Unit>
std::optional<Unit> unit(const json& object, const char* key) {
  const auto value = number(object, key);
  return value ? std::optional(Unit(*value)) : std::nullopt;
}
Seconds seconds(const json& object, const char* key) { return Seconds(object.at(key)); }
std::optional<Seconds> milliseconds(const json& object, const char* key) {
  const auto value = number(object, key);
  return value ? std::optional(Seconds(*value / 1000)) : std::nullopt;
}
std::string text(const json& object, const char* key) {
  const auto found = object.find(key);
  return found != object.end() && found->is_string() ? found->get<std::string>() : std::string();
}
Beats beats(const json& object, const char* key) {
  const auto parsed = Beats::parse(object.at(key).get<std::string>());
  if (!parsed) throw Malformed{std::string(key) + " is not a number of quarters such as \"3/2\""};
  return *parsed;
}
template <typename T>
T named(std::optional<T> value, const json& word) {
  if (!value) throw Malformed{"unknown word " + word.dump()};
  return *value;
}

HeardNote read_heard(const json& j) {
  HeardNote h;
  h.onset = seconds(j, "onset_s");
  h.onset_uncertainty = milliseconds(j, "onset_uncertainty_ms");
  h.offset = unit<Seconds>(j, "offset_s");
  h.offset_uncertainty = milliseconds(j, "offset_uncertainty_ms");
  h.midi = integer(j, "midi");
  h.intonation = unit<Cents>(j, "intonation_cents");
  h.uncertainty = unit<Cents>(j, "uncertainty_cents");
  h.deviation_ms = number(j, "deviation_ms");
  h.deviation_uncertainty_ms = number(j, "deviation_uncertainty_ms");
  h.sounding_ratio = number(j, "sounding_ratio");
  h.sounding_ratio_uncertainty = number(j, "sounding_ratio_uncertainty");
  h.gap = unit<Seconds>(j, "gap_s");
  h.level = unit<Decibels>(j, "level_dbfs");
  if (const auto v = j.find("vibrato"); v != j.end() && v->is_object()) {
    h.vibrato = Vibrato{v->at("rate_hz"), Cents(v->at("extent_cents"))};
  }
  h.dip = unit<Decibels>(j, "dip_db");
  h.fall = unit<Decibels>(j, "fall_db");
  h.attack = number(j, "attack");
  h.confidence = j.at("confidence");
  return h;
}

NoteHearing read_note(const json& j) {
  NoteHearing n;
  n.item = integer_or(j, "item", 0);
  n.index = integer(j, "index");
  n.id = text(j, "id");
  n.bar = text(j, "bar");
  n.pass = integer(j, "pass");
  n.onset = beats(j, "onset_quarters");
  n.duration = beats(j, "duration_quarters");
  n.midi = integer(j, "midi");
  n.state = named(note_state(text(j, "state")), j.at("state"));
  if (j.at("heard").is_object()) n.heard = read_heard(j.at("heard"));
  for (const json& a : j.at("attempts")) {
    n.attempts.push_back({seconds(a, "onset_s"), seconds(a, "offset_s")});
  }
  return n;
}

ExtraNote read_extra(const json& j) {
  return {seconds(j, "onset_s"), seconds(j, "offset_s"), integer(j, "midi"),
          integer(j, "after_index"), integer_or(j, "item", 0)};
}
Restart read_restart(const json& j) {
  return {seconds(j, "time_s"), integer(j, "from_index"), integer(j, "to_index"),
          integer_or(j, "item", 0)};
}
BarHearing read_bar(const json& j) {
  return {text(j, "bar"),
          integer(j, "pass"),
          unit<Cents>(j, "intonation_cents"),
          number(j, "deviation_ms"),
          number(j, "sounding_ratio"),
          integer_or(j, "item", 0)};
}
Segment read_segment(const json& j) {
  return {named(segment_kind(text(j, "kind")), j.at("kind")),
          integer_or(j, "item", 0),
          seconds(j, "from_s"),
          seconds(j, "to_s"),
          optional_integer(j, "from_index"),
          optional_integer(j, "to_index")};
}
StringTuning read_string(const json& j) {
  return {text(j, "string"), Cents(j.at("intonation_cents")), Cents(j.at("uncertainty_cents")),
          integer(j, "notes")};
}

template <typename T, typename F>
void read_list(std::vector<T>& into, const json& list, F&& read) {
  for (const json& j : list) into.push_back(read(j));
}

Facts read_facts(const json& object) {
  Facts facts;
  for (const auto& [key, value] : object.items()) {
    if (value.is_number()) facts[key] = value.get<double>();
    if (value.is_string()) facts[key] = value.get<std::string>();
    if (value.is_array()) facts[key] = value.get<std::vector<std::string>>();
  }
  return facts;
}

Finding read_finding(const json& j) {
  Finding f;
  f.id = text(j, "id");
  f.kind = named(finding_kind(text(j, "kind")), j.at("kind"));
  f.from = seconds(j, "from_s");
  f.to = seconds(j, "to_s");
  f.bars = j.at("bars").get<std::vector<std::string>>();
  read_list(f.notes, j.at("notes"), index_of_note);
  f.message_key = text(j.at("message"), "key");
  f.message_args = read_facts(j.at("message").at("args"));
  f.says = text(j, "says");
  f.evidence = read_facts(j.at("evidence"));
  f.confidence = j.at("confidence");
  return f;
}

TempoHearing read_tempo(const json& j) {
  TempoHearing t;
  t.bpm = number(j, "bpm");
  t.bpm_uncertainty = number(j, "bpm_uncertainty");
  t.beat_unit = beats(j, "beat_unit") * Beats(4);
  t.clean_bpm = number(j, "clean_bpm");
  t.drift_percent = number(j, "drift_percent");
  for (const json& point : j.at("curve")) t.curve.push_back({point.at(0), point.at(1)});
  return t;
}

void read_heads(Hearing& h, const json& j) {
  h.status = named(hearing_status(text(j, "status")), j.at("status"));
  h.engine_version = text(j.at("engine"), "version");
  h.score = {text(j.at("score"), "sha256"), text(j.at("score"), "part"),
             text(j.at("score"), "instrument")};
  const json& recording = j.at("recording");
  h.recording = {seconds(recording, "seconds"), recording.at("sample_rate_hz"),
                 text(recording, "sha256")};
  const json& reference = j.at("reference");
  h.reference = {unit<Hertz>(reference, "a4_hz"), unit<Cents>(reference, "a4_uncertainty_cents"),
                 text(reference, "a4_source") == "given", text(reference, "beat") == "click",
                 integer_or(reference, "octaves", 0)};
  if (j.at("backing").is_object()) h.backing_at = seconds(j.at("backing"), "at_s");
  if (j.at("range").is_object()) {
    h.range_from = optional_integer(j.at("range"), "from_index");
    h.range_to = optional_integer(j.at("range"), "to_index");
  }
}

Hearing read_hearing(const json& j) {
  if (text(j, "schema") != "endpin.hearing/1") throw Malformed{"not an endpin.hearing/1"};
  Hearing h;
  read_heads(h, j);
  h.tempo = read_tempo(j.at("tempo"));
  read_list(h.strings, j.at("tuning").at("strings"), read_string);
  read_list(h.segments, j.at("segments"), read_segment);
  read_list(h.notes, j.at("notes"), read_note);
  read_list(h.extra, j.at("extra"), read_extra);
  read_list(h.restarts, j.at("restarts"), read_restart);
  read_list(h.bars, j.at("bars"), read_bar);
  read_list(h.findings, j.at("findings"), read_finding);
  return h;
}

}  // namespace

Result<Hearing> hearing_from_json(std::string_view text) {
  const auto refuse = [](std::string what) {
    return Unexpected(Error{ErrorKind::input, "hearing", "", std::move(what),
                            "Hear the recording again with this version of endpin."});
  };
  try {
    return read_hearing(json::parse(text));
  } catch (const json::exception& e) {
    return refuse(e.what());
  } catch (const Malformed& e) {
    return refuse(e.what);
  }
}

}  // namespace endpin
