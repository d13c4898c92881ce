#include "book_json.h"

#include "endpin/technique/house_rules.h"

#include "mends.h"

namespace endpin::desk {
namespace {

Json text_or_null(const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); }

Json with_id(std::optional<book::Id> id, const char* member, const std::string& text) {
  return id ? Json{{"id", *id}, {member, text}} : Json(nullptr);
}

}  // namespace

Json to_json(const Error& e) {
  return {{"file", e.file},
          {"place", e.place},
          {"what", e.what},
          {"remedy", e.remedy},
          {"line", e.line()}};
}

Json to_json(const book::Student& s) {
  Json consent;
  if (s.consent) {
    consent = {{"by", s.consent->by}, {"on", s.consent->on}, {"note", s.consent->note}};
  }
  return {{"id", s.id},
          {"name", s.name},
          {"instrument", s.instrument},
          {"size", s.size},
          {"step", s.step},
          {"language", s.language},
          {"rules", s.rules},
          {"consent", consent},
          {"groups", s.groups},
          {"archived", s.archived},
          {"created", s.created},
          {"takes", s.takes},
          {"new_takes", s.new_takes},
          {"last_take", or_null(s.last_take)}};
}

Json to_json(const book::Group& g) {
  return {{"id", g.id}, {"name", g.name}, {"students", g.students}};
}

Json to_json(const book::Settings& s) {
  return {{"language", s.language},
          {"retention_days", s.retention_days},
          {"a4_hz", or_null(s.a4)},
          {"set_up", s.set_up},
          {"house_rules", s.house_rules}};
}

Json to_json(const book::Take& t, double progress) {
  return {{"id", t.id},
          {"name", t.file_name},
          {"bytes", t.bytes},
          {"sha256", t.sha256},
          {"student", with_id(t.student, "name", t.student_name)},
          {"piece", with_id(t.piece, "title", t.piece_title)},
          {"lesson", or_null(t.lesson)},
          {"item", text_or_null(t.item)},
          {"sender", text_or_null(t.sender)},
          {"received", t.received},
          {"recorded", or_null(t.recorded)},
          {"delete_after", t.delete_after},
          {"state", book::name(t.state)},
          {"progress", progress},
          {"line", t.brief.line},
          {"status", text_or_null(t.brief.status)},
          {"error", t.failure ? to_json(*t.failure) : Json(nullptr)},
          {"seconds", or_null(t.seconds)},
          {"picture", t.picture},
          {"seen", t.seen},
          {"earlier_score", t.earlier_score},
          {"work", t.brief.work},
          {"good", t.brief.good},
          {"bpm", or_null(t.brief.bpm)},
          {"clean_bpm", or_null(t.brief.clean_bpm)},
          {"tempo_bpm", or_null(t.tempo_bpm)}};
}

Json to_json(const book::Piece& p, const std::string& engraving) {
  const app::ScoreChanges changes = changes_from_text(p.mends);
  Json json = {{"id", p.id},
               {"title", p.title},
               {"composer", p.composer},
               {"rights", p.rights},
               {"file", p.file_name},
               {"bytes", p.bytes},
               {"sha256", p.sha256},
               {"part", p.part},
               {"tune", or_null(p.tune)},
               {"instrument", p.instrument},
               {"step", p.step},
               {"tempo_bpm", or_null(p.tempo_bpm)},
               {"added", p.added},
               {"takes", p.takes},
               {"new_takes", p.new_takes},
               {"moved", changes.moved.has_value()},
               {"mended", !changes.mends.empty()},
               {"engraving", engraving}};
  const Json facts = Json::parse(p.facts, nullptr, false);
  if (facts.is_object()) json.update(facts);
  return json;
}

void read(Fields& fields, book::Student& s) {
  fields.name("name", s.name)
      .one_of("instrument", s.instrument, instrument_names)
      .one_of("size", s.size, size_names)
      .text("step", s.step)
      .text("rules", s.rules, 20'000)
      .flag("archived", s.archived);
  if (fields.has("language") && fields.json()["language"] != "") {
    fields.one_of("language", s.language, language_names);
  }
  if (!fields.has("consent")) return;
  const Json& consent = fields.json()["consent"];
  if (consent.is_null()) return s.consent.reset();
  const auto text = [&](const char* name) {
    return consent.is_object() && consent.contains(name) && consent[name].is_string()
               ? consent[name].get<std::string>()
               : std::string();
  };
  const book::Consent given{text("by"), text("on"), text("note")};
  if (given.by.empty() || !book::parse_date(given.on) || given.note.size() > 2000) {
    return fields.wrong("consent", "who gave it (by) and when (on, such as 2026-03-01) are needed");
  }
  s.consent = given;
}

void read(Fields& fields, book::Group& g) {
  fields.name("name", g.name).ids("students", g.students);
}

void read(Fields& fields, book::Settings& s) {
  fields.one_of("language", s.language, language_names)
      .integer("retention_days", s.retention_days, 1, 3650)
      .maybe_real("a4_hz", s.a4, 400, 480)
      .flag("set_up", s.set_up)
      .text("house_rules", s.house_rules, 20'000);
  if (const auto rules = parse_house_rules(s.house_rules); !rules) {
    fields.wrong("house_rules", "line " + rules.error().place + ": " + rules.error().what);
  }
}

}  // namespace endpin::desk
