#include <array>

#include <nlohmann/json.hpp>

#include "endpin/study/study.h"
#include "endpin/words/note_names.h"

namespace endpin {
namespace {

using nlohmann::json;

constexpr std::array<std::string_view, 5> shapes{"plain", "low", "high", "extended-back",
                                                 "extended"};

template <typename T>
json or_null(const std::optional<T>& value) {
  return value ? json(*value) : json(nullptr);
}

json text_or_null(const std::string& text) { return text.empty() ? json(nullptr) : json(text); }

json sentence_json(const Sentence& sentence, Language language) {
  if (sentence.empty()) return nullptr;
  json args = json::object();
  for (const auto& [name, value] : sentence.args) args[name] = value;
  return {{"key", sentence.key}, {"args", args}, {"says", say(sentence, language)}};
}

std::string letters(const SpelledPitch& pitch) {
  std::string text = pitch.text();
  text.pop_back();
  return text;
}

json key_json(const Key& key) {
  return {{"tonic", letters(key.tonic)}, {"mode", name(key.mode)}, {"fifths", key.fifths()}};
}

json finding_json(const KeyFinding& f, Language language) {
  json j = key_json(f.key);
  j["minor_form"] = f.form == MinorForm::none ? json(nullptr) : json(name(f.form));
  j["signature_fifths"] = f.signature;
  j["signature_agrees"] = f.agrees;
  j["margin"] = f.margin;
  j["second"] = key_json(f.second);
  j["krumhansl_kessler"] = key_json(f.by_krumhansl);
  j["temperley"] = key_json(f.by_temperley);
  j["name"] = sentence_json(f.says, language);
  return j;
}

json metre_json(const Metre& m) {
  return {{"beats", m.beats},       {"beat_type", m.beat_type},
          {"compound", m.compound}, {"beat_unit_quarters", m.beat_unit.text()},
          {"changes", m.changes},   {"pickup_quarters", m.pickup.text()}};
}

json value_json(const ValueUse& v, Language language) {
  return {{"quarters", v.quarters.text()},
          {"key", text_or_null(v.key)},
          {"name", duration_name(v.quarters, language)},
          {"notes", v.notes},
          {"rests", v.rests},
          {"clicks", v.clicks.text()}};
}

json altered_json(const AlteredNote& a, Language language) {
  return {{"pitch", a.pitch.text()},
          {"name", note_name(a.pitch, language)},
          {"count", a.count},
          {"in_signature", a.in_signature},
          {"bars", a.bars},
          {"notes", a.notes},
          {"string", or_null(a.string)},
          {"finger", or_null(a.finger)},
          {"shape", shapes[static_cast<std::size_t>(a.shape)]},
          {"position_key", text_or_null(a.position_key)},
          {"from_nut_mm", or_null(a.from_nut_mm)}};
}

json twin_json(const TwinBars& t, Language language) {
  return {{"earlier", t.earlier},
          {"later", t.later},
          {"rhythm_differs", t.rhythm_differs},
          {"pitch_differs", t.pitch_differs},
          {"at_quarters", t.at.text()},
          {"beat", t.beat},
          {"notes", t.notes},
          {"likeness", t.likeness},
          {"message", sentence_json(t.difference, language)}};
}

json spot_json(const Spot& s, Language language) {
  return {{"kind", s.kind},       {"bar", s.bar},
          {"notes", s.notes},     {"weight", s.weight},
          {"measure", s.measure}, {"message", sentence_json(s.reason, language)}};
}

json step_json(const StepDemand& step, Language language) {
  json reasons = json::array();
  for (const StepDemand::Reason& r : step.reasons) {
    reasons.push_back(
        {{"message", sentence_json(r.says, language)}, {"bars", r.bars}, {"notes", r.notes}});
  }
  return {{"id", step.step}, {"name", say("step." + step.step, language)}, {"reasons", reasons}};
}

json tempo_json(const TempoPlan& plan) {
  return {{"beat_unit_quarters", plan.beat_unit.text()},
          {"target", plan.target},
          {"from_score", plan.from_score},
          {"ladder", plan.ladder}};
}

template <typename T, typename F>
json list_json(const std::vector<T>& list, F item, Language language) {
  json array = json::array();
  for (const T& element : list) array.push_back(item(element, language));
  return array;
}

json warnings_json(const std::vector<Warning>& warnings) {
  json list = json::array();
  for (const Warning& w : warnings) {
    list.push_back({{"place", w.place}, {"what", w.what}, {"remedy", w.remedy}});
  }
  return list;
}

}  // namespace

std::string to_json(const Study& s, Language language) {
  json range = nullptr;
  if (s.range) {
    range = {{"lowest", s.range->lowest.text()}, {"highest", s.range->highest.text()}};
  }
  return json{{"schema", "endpin.study/1"},
              {"title", s.title},
              {"instrument", s.instrument},
              {"language", tag(language)},
              {"bars", s.bars},
              {"notes", s.notes},
              {"key", finding_json(s.key, language)},
              {"metre", metre_json(s.metre)},
              {"values", list_json(s.values, value_json, language)},
              {"range", range},
              {"altered", list_json(s.altered, altered_json, language)},
              {"twins", list_json(s.twins, twin_json, language)},
              {"spots", list_json(s.spots, spot_json, language)},
              {"step", step_json(s.step, language)},
              {"tempo", tempo_json(s.tempo)},
              {"warnings", warnings_json(s.warnings)}}
      .dump();
}

}  // namespace endpin
