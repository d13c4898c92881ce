// Writes `endpin.hearing/1`. Members keep the order of the documentation.
#include <cmath>

#include <nlohmann/json.hpp>

#include "endpin/hearing/hearing.h"

namespace endpin {
namespace {

using json = nlohmann::ordered_json;

// A value that is not finite is unknown.
json rounded(double value, double per_unit) {
  if (!std::isfinite(value)) return nullptr;
  const double scaled = std::round(value * per_unit) / per_unit;
  return scaled == 0 ? 0.0 : scaled;  // no -0
}

json seconds(Seconds s) { return rounded(s.value(), 1e4); }
json tenths(double v) { return rounded(v, 10); }
json thousandths(double v) { return rounded(v, 1e3); }

template <typename T, typename F>
json or_null(const std::optional<T>& value, F&& write) {
  return value ? write(*value) : json(nullptr);
}
json or_null(const std::optional<int>& value) { return value ? json(*value) : json(nullptr); }
json text_or_null(const std::string& text) { return text.empty() ? json(nullptr) : json(text); }
json cents_or_null(const std::optional<Cents>& c) {
  return or_null(c, [](Cents v) { return tenths(v.value()); });
}

json vibrato_json(const Vibrato& v) {
  return {{"rate_hz", thousandths(v.rate_hz)}, {"extent_cents", tenths(v.extent.value())}};
}

json milliseconds(Seconds s) { return tenths(1000 * s.value()); }

json heard_json(const HeardNote& h) {
  return {{"onset_s", seconds(h.onset)},
          {"onset_uncertainty_ms", or_null(h.onset_uncertainty, milliseconds)},
          {"offset_s", or_null(h.offset, seconds)},
          {"offset_uncertainty_ms", or_null(h.offset_uncertainty, milliseconds)},
          {"midi", h.midi},
          {"intonation_cents", cents_or_null(h.intonation)},
          {"uncertainty_cents", cents_or_null(h.uncertainty)},
          {"deviation_ms", or_null(h.deviation_ms, tenths)},
          {"deviation_uncertainty_ms", or_null(h.deviation_uncertainty_ms, tenths)},
          {"sounding_ratio", or_null(h.sounding_ratio, thousandths)},
          {"sounding_ratio_uncertainty", or_null(h.sounding_ratio_uncertainty, thousandths)},
          {"gap_s", or_null(h.gap, seconds)},
          {"level_dbfs", or_null(h.level, [](Decibels v) { return tenths(v.value()); })},
          {"vibrato", or_null(h.vibrato, vibrato_json)},
          {"dip_db", or_null(h.dip, [](Decibels v) { return tenths(v.value()); })},
          {"fall_db", or_null(h.fall, [](Decibels v) { return tenths(v.value()); })},
          {"attack", or_null(h.attack, tenths)},
          {"confidence", thousandths(h.confidence)}};
}

json note_json(const NoteHearing& n) {
  json attempts = json::array();
  for (const Span& a : n.attempts) {
    attempts.push_back({{"onset_s", seconds(a.from)}, {"offset_s", seconds(a.to)}});
  }
  return {{"item", n.item},
          {"index", n.index},
          {"id", n.id},
          {"bar", n.bar},
          {"pass", n.pass},
          {"onset_quarters", n.onset.text()},
          {"duration_quarters", n.duration.text()},
          {"midi", n.midi},
          {"state", name(n.state)},
          {"heard", or_null(n.heard, heard_json)},
          {"attempts", attempts}};
}

json extra_json(const ExtraNote& e) {
  return {{"onset_s", seconds(e.onset)},
          {"offset_s", seconds(e.offset)},
          {"midi", e.midi},
          {"after_index", e.after_index},
          {"item", e.item}};
}

json restart_json(const Restart& r) {
  return {{"time_s", seconds(r.time)},
          {"from_index", r.from_index},
          {"to_index", r.to_index},
          {"item", r.item}};
}

json bar_json(const BarHearing& b) {
  return {{"bar", b.bar},
          {"pass", b.pass},
          {"intonation_cents", cents_or_null(b.intonation)},
          {"deviation_ms", or_null(b.deviation_ms, tenths)},
          {"sounding_ratio", or_null(b.sounding_ratio, thousandths)},
          {"item", b.item}};
}

json segment_json(const Segment& s) {
  return {{"kind", name(s.kind)},
          {"item", s.item},
          {"from_s", seconds(s.from)},
          {"to_s", seconds(s.to)},
          {"from_index", or_null(s.from_index)},
          {"to_index", or_null(s.to_index)}};
}

json string_json(const StringTuning& s) {
  return {{"string", s.string},
          {"intonation_cents", tenths(s.intonation.value())},
          {"uncertainty_cents", tenths(s.uncertainty.value())},
          {"notes", s.notes}};
}

json facts_json(const Facts& facts) {
  json object = json::object();
  for (const auto& [key, fact] : facts) {
    object[key] = std::visit(
        [](const auto& v) -> json {
          if constexpr (std::is_same_v<std::decay_t<decltype(v)>, double>)
            return thousandths(v);
          else
            return v;
        },
        fact);
  }
  return object;
}

json finding_json(const Finding& f) {
  return {{"id", f.id},
          {"kind", name(f.kind)},
          {"tone", tone(f.kind) == Tone::good ? "good" : "work"},
          {"from_s", seconds(f.from)},
          {"to_s", seconds(f.to)},
          {"bars", f.bars},
          {"notes", f.notes},
          {"message", {{"key", f.message_key}, {"args", facts_json(f.message_args)}}},
          {"says", f.says},
          {"evidence", facts_json(f.evidence)},
          {"confidence", thousandths(f.confidence)}};
}

// "1/4" for a quarter: the fraction of a whole note.
std::string note_value(Beats quarters) {
  const Beats whole = quarters / Beats(4);
  return std::to_string(whole.numerator()) + '/' + std::to_string(whole.denominator());
}

json tempo_json(const TempoHearing& t) {
  json curve = json::array();
  for (const auto& point : t.curve) {
    curve.push_back({thousandths(point.score_quarters), tenths(point.bpm)});
  }
  return {{"bpm", or_null(t.bpm, tenths)},
          {"bpm_uncertainty", or_null(t.bpm_uncertainty, tenths)},
          {"beat_unit", note_value(t.beat_unit)},
          {"clean_bpm", or_null(t.clean_bpm, tenths)},
          {"drift_percent", or_null(t.drift_percent, tenths)},
          {"curve", curve}};
}

json range_json(const Hearing& h) {
  if (!h.range_from || !h.range_to) return nullptr;
  return {{"from_index", *h.range_from}, {"to_index", *h.range_to}};
}

template <typename T, typename F>
json list(const std::vector<T>& values, F&& write) {
  json array = json::array();
  for (const T& v : values) array.push_back(write(v));
  return array;
}

json reference_json(const Hearing& h) {
  json reference = {
      {"a4_hz", or_null(h.reference.a4, [](Hertz v) { return rounded(v.value(), 100); })},
      {"a4_uncertainty_cents", cents_or_null(h.reference.a4_uncertainty)},
      {"a4_source", h.reference.a4_given ? "given" : "heard"},
      {"temperament", "equal"},
      {"beat", h.reference.beat_from_click ? "click" : "local"}};
  if (h.reference.octaves != 0) reference["octaves"] = h.reference.octaves;
  return reference;
}

json backing_json(const Hearing& h) {
  if (!h.backing_at) return nullptr;
  return {{"at_s", seconds(*h.backing_at)}};
}

}  // namespace

std::string to_json(const Hearing& h) {
  const json document{{"schema", "endpin.hearing/1"},
                      {"status", name(h.status)},
                      {"engine", {{"name", "endpin"}, {"version", h.engine_version}}},
                      {"score",
                       {{"sha256", text_or_null(h.score.sha256)},
                        {"part", h.score.part},
                        {"instrument", h.score.instrument}}},
                      {"recording",
                       {{"seconds", seconds(h.recording.length)},
                        {"sample_rate_hz", h.recording.sample_rate_hz},
                        {"sha256", text_or_null(h.recording.sha256)}}},
                      {"reference", reference_json(h)},
                      {"backing", backing_json(h)},
                      {"tuning", {{"strings", list(h.strings, string_json)}}},
                      {"tempo", tempo_json(h.tempo)},
                      {"range", range_json(h)},
                      {"segments", list(h.segments, segment_json)},
                      {"notes", list(h.notes, note_json)},
                      {"extra", list(h.extra, extra_json)},
                      {"restarts", list(h.restarts, restart_json)},
                      {"bars", list(h.bars, bar_json)},
                      {"findings", list(h.findings, finding_json)}};
  return document.dump(-1, ' ', false, json::error_handler_t::replace);
}

}  // namespace endpin
