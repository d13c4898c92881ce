#include "mends.h"

#include <algorithm>
#include <array>
#include <utility>

namespace endpin::desk {
namespace {

constexpr std::array<std::pair<std::string_view, NoteValue>, 8> value_names{{
    {"breve", NoteValue::breve},
    {"whole", NoteValue::whole},
    {"half", NoteValue::half},
    {"quarter", NoteValue::quarter},
    {"eighth", NoteValue::eighth},
    {"sixteenth", NoteValue::sixteenth},
    {"32nd", NoteValue::thirty_second},
    {"64th", NoteValue::sixty_fourth},
}};
constexpr int most_dots = 2;
constexpr int lowest_octave = 0;
constexpr int highest_octave = 8;

Mend mend_from(const Json& json) {
  Mend mend;
  mend.id = json.value("id", "");
  mend.after = json.value("after", "");
  mend.rest = json.value("rest", false);
  mend.removed = json.value("removed", false);
  if (json.contains("pitch")) mend.pitch = SpelledPitch::parse(json.value("pitch", ""));
  if (json.contains("value")) mend.value = note_value(json.value("value", ""));
  if (json.contains("dots")) mend.dots = json.value("dots", 0);
  return mend;
}

Json to_json(const Mend& mend) {
  Json json = {{"id", mend.id}};
  if (!mend.after.empty()) json["after"] = mend.after;
  if (mend.pitch) json["pitch"] = mend.pitch->text();
  if (mend.value) json["value"] = value_name(*mend.value);
  if (mend.dots) json["dots"] = *mend.dots;
  if (mend.rest) json["rest"] = true;
  if (mend.removed) json["removed"] = true;
  return json;
}

bool can_be_written(const SpelledPitch& pitch) {
  return std::abs(pitch.alter) <= 2 && pitch.octave >= lowest_octave &&
         pitch.octave <= highest_octave;
}

}  // namespace

app::ScoreChanges changes_from_text(const std::string& text) {
  app::ScoreChanges changes;
  const Json json = Json::parse(text, nullptr, false);
  if (!json.is_object()) return changes;
  if (const auto moved = json.find("moved"); moved != json.end()) {
    changes.moved = Interval{moved->value("fifths", 0), moved->value("semitones", 0)};
  }
  for (const Json& note : json.value("notes", Json::array())) {
    changes.mends.push_back(mend_from(note));
  }
  return changes;
}

std::string changes_text(const app::ScoreChanges& changes) {
  if (changes.empty()) return "";
  Json json = Json::object();
  if (changes.moved) {
    json["moved"] = {{"fifths", changes.moved->fifths}, {"semitones", changes.moved->semitones}};
  }
  for (const Mend& mend : changes.mends) json["notes"].push_back(to_json(mend));
  return dump(json);
}

std::string_view value_name(NoteValue value) {
  for (const auto& [name, known] : value_names) {
    if (known == value) return name;
  }
  return value < NoteValue::breve ? value_names.front().first : value_names.back().first;
}

std::optional<NoteValue> note_value(std::string_view name) {
  for (const auto& [known, value] : value_names) {
    if (known == name) return value;
  }
  return std::nullopt;
}

std::optional<Answer> read_mend(const Fields& call, Mend& mend) {
  Fields fields = call;
  std::string pitch;
  std::string value;
  int dots = mend.dots.value_or(0);
  fields.text("pitch", pitch)
      .text("value", value)
      .integer("dots", dots, 0, most_dots)
      .flag("rest", mend.rest)
      .flag("removed", mend.removed);
  if (fields.has("pitch")) {
    mend.pitch = SpelledPitch::parse(pitch);
    if (!mend.pitch || !can_be_written(*mend.pitch)) fields.wrong("pitch", "no pitch, such as F#3");
    if (!fields.has("rest")) mend.rest = false;
  }
  if (fields.has("value")) {
    mend.value = note_value(value);
    if (!mend.value) fields.wrong("value", "no written value, such as quarter");
  }
  if (fields.has("dots")) mend.dots = dots;
  return fields.problem();
}

}  // namespace endpin::desk
