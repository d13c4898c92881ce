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
  j["disagreement"] = sentence_json(f.disagreement, language);
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
          {"from_nut_mm", or_null(a.from_nut_mm)},
          {"where", sentence_json(a.where, language)}};
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

json counting_json(const Counting& counting, Language language) {
  json bars = json::array();
  for (const CountedBar& bar : counting.bars) {
    json syllables = json::array();
    for (const CountedPlace& place : bar.places) {
      syllables.push_back({{"at_quarters", place.at.text()},
                           {"says", say(place.says, language)},
                           {"kind", name(place.kind)},
                           {"notes", place.notes}});
    }
    bars.push_back({{"bar", bar.bar}, {"syllables", syllables}});
  }
  json schemes = json::array();
  for (const CountingScheme& scheme : counting_schemes()) {
    schemes.push_back(
        {{"id", scheme.id}, {"name", say("count.scheme." + std::string(scheme.id), language)}});
  }
  return {{"scheme", counting.scheme},
          {"schemes", schemes},
          {"hardest", counting.hardest ? json(*counting.hardest) : json(nullptr)},
          {"bars", bars}};
}

json form_json(const Form& form) {
  json phrases = json::array();
  for (const FormPhrase& p : form.phrases) {
    phrases.push_back({{"letter", p.letter},
                       {"variant", p.variant},
                       {"from", p.from},
                       {"to", p.to},
                       {"first_bar_index", p.first_bar},
                       {"last_bar_index", p.last_bar},
                       {"times", p.times}});
  }
  json returns = json::array();
  for (const ReturningBars& r : form.returns) {
    returns.push_back({{"from", r.from},
                       {"to", r.to},
                       {"like_from", r.like_from},
                       {"like_to", r.like_to},
                       {"bars", r.bars}});
  }
  return {{"map", form.map}, {"phrases", phrases}, {"returns", returns}};
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
    json outside = json::array();
    for (const SpelledPitch& pitch : s.range->outside) outside.push_back(pitch.text());
    range = {{"lowest", s.range->lowest.text()},
             {"highest", s.range->highest.text()},
             {"outside", outside}};
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
              {"counting", counting_json(s.counting, language)},
              {"form", form_json(s.form)},
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
