#include "endpin/lesson_folder/class_set_folder.h"

#include <algorithm>
#include <cmath>
#include <future>
#include <utility>

#include <nlohmann/json.hpp>

#include "endpin/app/files.h"
#include "endpin/engraving/pdf.h"
#include "endpin/notation/write.h"
#include "endpin/words/note_names.h"
#include "endpin/words/sentence.h"

#include "class_set_sheets.h"
#include "class_set_sounds.h"
#include "sheet_of.h"

namespace endpin::app {
namespace {

using nlohmann::ordered_json;

constexpr std::size_t most_keys_said = 4;

std::string class_name(SpelledPitch pitch) {
  const std::string text = pitch.text();
  return text.substr(0, text.size() - 1);
}

std::string file_of(const SetLine& line) {
  return std::string(line.instrument->name) + "-" + std::string(name(line.kind)) + ".musicxml";
}

ordered_json key_json(const ScaleKey& key, Language language) {
  return {{"tonic", class_name(key.tonic(4))},
          {"mode", key.minor ? "minor" : "major"},
          {"fifths", key.fifths},
          {"says", key_said(key, language)}};
}

ordered_json line_json(const ClassSetOrder& order, const SetLine& line) {
  const std::string text = "set." + std::string(name(line.kind));
  return {{"kind", name(line.kind)},
          {"title", say(text, order.language)},
          {"why", say(text + ".why", order.language)},
          {"step", line.step},
          {"strained", line.strained},
          {"score", file_of(line)},
          {"timeline", ordered_json::parse(to_json(line.timeline))}};
}

std::string_view clef_of(const Part& part) {
  switch (contexts(part).front().clef.sign) {
    case ClefSign::f:
      return "bass";
    case ClefSign::c:
      return "alto";
    default:
      return "treble";
  }
}

// What a part is on paper: its clef, how far from the tune's own octave it sounds, and its range.
ordered_json part_json(const ClassSetOrder& order, const SetLine& tune) {
  const auto& notes = tune.timeline.notes;
  const auto [low, high] = std::minmax_element(
      notes.begin(), notes.end(), [](const auto& a, const auto& b) { return a.midi < b.midi; });
  const double moved = notes.front().midi - order.input.timeline.notes.front().midi;
  return {{"instrument", tune.instrument->name},
          {"hand", tune.hand},
          {"clef", clef_of(tune.score.parts[0])},
          {"octaves", std::lround(moved / 12)},
          {"written_octave", tune.instrument->written_octave},
          {"lowest", low->spelled.text()},
          {"highest", high->spelled.text()}};
}

ordered_json parts_json(const ClassSetOrder& order, const ClassSet& set) {
  ordered_json parts = ordered_json::array();
  for (const InstrumentKind kind : order.instruments) {
    ordered_json lines = ordered_json::array();
    for (const SetLine& line : set.lines) {
      if (line.instrument->kind == kind) lines.push_back(line_json(order, line));
    }
    ordered_json part = part_json(order, *set.find(SetLineKind::tune, kind));
    part["lines"] = std::move(lines);
    parts.push_back(std::move(part));
  }
  return parts;
}

ordered_json keys_json(const ClassSet& set, Language language) {
  ordered_json keys = ordered_json::array();
  for (const KeyChoice& choice : set.keys) {
    ordered_json key = key_json(choice.key, language);
    key["in_hand"] = choice.in_hand();
    key["each"] = ordered_json::array();
    for (const KeyForInstrument& one : choice.each) {
      key["each"].push_back({{"instrument", one.instrument->name},
                             {"step", one.step},
                             {"strained", one.strained},
                             {"open_notes", one.open_notes}});
    }
    keys.push_back(std::move(key));
  }
  return keys;
}

ordered_json sounds_json(const ClassSetOrder& order) {
  ordered_json without = ordered_json::object();
  for (const InstrumentKind kind : order.instruments) {
    if (order.instruments.size() < 2) break;
    without[std::string(instrument(kind).name)] = play_along_without(instrument(kind));
  }
  return {{"all", play_along_of_all()}, {"without", std::move(without)}};
}

std::string strain_said(const SetLine& line, Language language) {
  std::vector<std::string> notes;
  for (const std::string& pitch : line.strained) {
    notes.push_back(note_name_with_octave(*SpelledPitch::parse(pitch), language));
  }
  return first_capital(say({"set.strain",
                            {{"instrument", "instrument." + std::string(line.instrument->name)},
                             {"notes", join_list(notes, language)},
                             {"step", "step." + line.hand}}},
                           language));
}

Result<void> write_scores(const std::filesystem::path& place, const ClassSet& set) {
  MarkingsById all;
  for (const SetLine& line : set.lines) {
    const MarkingsById shown = shown_markings(line.markings, line.kind == SetLineKind::warm_up);
    auto done = write_file_atomically(place / file_of(line), write_musicxml(line.score, shown));
    if (!done) return done;
    if (line.kind == SetLineKind::tune) all.insert(shown.begin(), shown.end());
  }
  return write_file_atomically(place / "score.musicxml", write_musicxml(set.score, all));
}

struct Printed {
  std::string html, pdf;
};

Error stopped() {
  return {ErrorKind::input, "", "", "making the set was stopped", "Make it again."};
}

Result<Printed> print(const ClassSetOrder& order, const ClassSet& set, const Progress& progress,
                      const std::stop_token& stop) {
  if (progress) progress("engraving");
  auto sheets = class_set_sheets(order, set);
  if (!sheets) return Unexpected(std::move(sheets).error());
  auto html = sheets_html(*sheets);
  if (!html) return Unexpected(std::move(html).error());
  if (stop.stop_requested()) return Unexpected(stopped());
  if (progress) progress("printing");
  auto pdf = print_pdf(*html, order.date);
  if (!pdf) return Unexpected(std::move(pdf).error());
  return Printed{std::move(*html), std::move(*pdf)};
}

}  // namespace

Result<ClassSet> plan_class_set(const ClassSetOrder& order) {
  ClassSetRequest request;
  request.score = &order.input.score;
  request.part = order.input.part;
  request.instrument = order.input.instrument;
  request.instruments = order.instruments;
  request.step = order.step;
  request.steps = order.steps;
  request.left_out = order.left_out;
  request.teacher = order.teacher;
  request.fifths = order.fifths;
  request.rules = order.rules;
  auto set = make_class_set(request);
  if (set) return set;
  Error error = set.error();
  if (error.file.empty()) error.file = order.input.file;
  return Unexpected(std::move(error));
}

std::vector<std::string> remarks_on(const ClassSet& set, Language language) {
  std::vector<std::string> remarks;
  for (const SetLine& line : set.lines) {
    if (line.kind == SetLineKind::tune && !line.strained.empty()) {
      remarks.push_back(strain_said(line, language));
    }
  }
  if (remarks.empty()) return remarks;
  std::vector<std::string> keys;
  for (const KeyChoice& choice : set.keys) {
    if (choice.in_hand() && keys.size() < most_keys_said) {
      keys.push_back(key_said(choice.key, language));
    }
  }
  remarks.push_back(keys.empty()
                        ? say("set.no-key", language)
                        : say({"set.keys", {{"keys", join_list(keys, language)}}}, language));
  return remarks;
}

std::string class_set_json(const ClassSetOrder& order, const ClassSet& set) {
  const ordered_json json = {{"schema", "endpin.set/1"},
                             {"title", order.input.score.title},
                             {"composer", order.input.score.composer},
                             {"rights", order.input.score.rights},
                             {"language", tag(order.language)},
                             {"date", order.date},
                             {"step", set.step},
                             {"key", key_json(set.key, order.language)},
                             {"in_hand", set.chosen().in_hand()},
                             {"says", remarks_on(set, order.language)},
                             {"score", "score.musicxml"},
                             {"sheets", {{"html", "sheets.html"}, {"pdf", "sheets.pdf"}}},
                             {"sounds", sounds_json(order)},
                             {"parts", parts_json(order, set)},
                             {"keys", keys_json(set, order.language)}};
  return json.dump(1) + "\n";
}

Result<void> write_class_set(const ClassSetOrder& order, const ClassSet& set,
                             const std::filesystem::path& folder, const Progress& progress,
                             const std::stop_token& stop) {
  auto staged = StagedDirectory::create(folder);
  if (!staged) return Unexpected(std::move(staged).error());
  auto playing = std::async(std::launch::async, [&] { return play_alongs(order, set); });
  const auto printed = print(order, set, progress, stop);
  if (!printed) return Unexpected(Error(printed.error()));
  if (progress) progress("playing");
  const auto sounds = playing.get();
  if (!sounds) return Unexpected(Error(sounds.error()));
  if (stop.stop_requested()) return Unexpected(stopped());

  const std::filesystem::path& place = staged->path();
  if (auto done = write_scores(place, set); !done) return done;
  for (const auto& [name, bytes] : *sounds) {
    if (auto done = write_file_atomically(place / name, bytes); !done) return done;
  }
  const std::pair<const char*, std::string> rest[] = {{"sheets.html", printed->html},
                                                      {"sheets.pdf", printed->pdf},
                                                      {"set.json", class_set_json(order, set)}};
  for (const auto& [name, bytes] : rest) {
    if (auto done = write_file_atomically(place / name, bytes); !done) return done;
  }
  return staged->publish();
}

}  // namespace endpin::app
