#include <array>

#include <nlohmann/json.hpp>

#include "endpin/base/whole_number.h"
#include "endpin/timeline/timeline.h"

namespace endpin {
namespace {

// Members keep the order of the documentation.
using json = nlohmann::ordered_json;

constexpr std::array<std::string_view, 8> articulation_names{
    "none", "staccato", "staccatissimo", "tenuto", "portato", "marcato", "accent", "spiccato"};
constexpr std::array<std::string_view, 6> ornament_names{"none",    "trill",   "turn",
                                                         "mordent", "tremolo", "glissando"};

// Unknown names read as the first, "none": a newer writer may know more.
template <typename E, std::size_t N>
E named(const std::array<std::string_view, N>& names, const json& value) {
  for (std::size_t i = 0; i < N; ++i) {
    if (value == names[i]) return static_cast<E>(i);
  }
  return E{};
}

template <typename T>
json or_null(const std::optional<T>& value) {
  return value ? json(*value) : json(nullptr);
}

std::optional<int> optional_int(const json& object, const char* key) {
  const auto found = object.find(key);
  return found == object.end() ? std::nullopt : whole_number(*found);
}

struct Malformed {
  std::string what;
};

int integer(const json& object, const char* key) {
  const auto value = whole_number(object.at(key));
  if (!value) throw Malformed{std::string(key) + " is no whole number that can be held"};
  return *value;
}

int integer_or(const json& object, const char* key, int otherwise) {
  return object.contains(key) ? integer(object, key) : otherwise;
}

Beats beats(const json& value) {
  if (value.is_string()) {
    const auto parsed = Beats::parse(value.get_ref<const std::string&>());
    if (parsed) {
      const auto bounded = Beats::bounded(parsed->numerator(), parsed->denominator());
      if (bounded) return *bounded;
    }
  }
  throw Malformed{"not a number of quarters such as \"3/2\": " + value.dump()};
}

json note_json(const TimelineNote& n) {
  return {{"index", n.index},
          {"id", n.id},
          {"bar", n.bar},
          {"pass", n.pass},
          {"onset_quarters", n.onset.text()},
          {"duration_quarters", n.duration.text()},
          {"midi", n.midi},
          {"spelled", n.spelled.text()},
          {"string", or_null(n.string)},
          {"finger", or_null(n.finger)},
          {"open", n.open},
          {"harmonic", n.harmonic},
          {"plucked", n.plucked},
          {"stroke_id", or_null(n.stroke_id)},
          {"slur_id", or_null(n.slur_id)},
          {"articulation", name(n.articulation)},
          {"ornament", name(n.ornament)},
          {"graces_before", n.graces_before},
          {"fermata", n.fermata},
          {"chord_id", or_null(n.chord_id)},
          {"voice", n.voice}};
}

TimelineNote read_note(const json& j) {
  TimelineNote n;
  n.index = integer(j, "index");
  n.id = j.at("id").get<std::string>();
  n.bar = j.at("bar").get<std::string>();
  n.pass = integer_or(j, "pass", 1);
  n.onset = beats(j.at("onset_quarters"));
  n.duration = beats(j.at("duration_quarters"));
  n.midi = integer(j, "midi");
  n.spelled = SpelledPitch::parse(j.value("spelled", std::string())).value_or(spell(n.midi, 0));
  n.string = optional_int(j, "string");
  n.finger = optional_int(j, "finger");
  n.open = j.value("open", false);
  n.harmonic = j.value("harmonic", false);
  n.plucked = j.value("plucked", false);
  n.stroke_id = optional_int(j, "stroke_id");
  n.slur_id = optional_int(j, "slur_id");
  n.articulation = named<Articulation>(articulation_names, j.value("articulation", json("none")));
  n.ornament = named<Ornament>(ornament_names, j.value("ornament", json("none")));
  n.graces_before = integer_or(j, "graces_before", 0);
  n.fermata = j.value("fermata", false);
  n.chord_id = optional_int(j, "chord_id");
  n.voice = integer_or(j, "voice", 1);
  return n;
}

json bar_json(const TimelineBar& b) {
  return {{"bar", b.number},
          {"written_index", b.written_index},
          {"pass", b.pass},
          {"start_quarters", b.start.text()},
          {"length_quarters", b.length.text()},
          {"beats", b.beats},
          {"beat_type", b.beat_type}};
}

TimelineBar read_bar(const json& j) {
  TimelineBar b;
  b.number = j.at("bar").get<std::string>();
  b.written_index = integer_or(j, "written_index", 0);
  b.pass = integer_or(j, "pass", 1);
  b.start = beats(j.at("start_quarters"));
  b.length = beats(j.at("length_quarters"));
  b.beats = integer_or(j, "beats", 4);
  b.beat_type = integer_or(j, "beat_type", 4);
  return b;
}

TempoMap read_tempo(const json& list) {
  std::vector<TempoChange> changes;
  for (const json& j : list) {
    const TempoChange change{beats(j.at("at_quarters")), Bpm(j.at("quarter_bpm").get<double>())};
    if (!(change.tempo.value() > 0)) throw Malformed{"a tempo is not above 0"};
    if (!changes.empty() && !(changes.back().at < change.at)) {
      throw Malformed{"tempo changes are not in ascending order"};
    }
    changes.push_back(change);
  }
  if (changes.empty()) throw Malformed{"no tempo"};
  return TempoMap(std::move(changes));
}

void check_notes(const std::vector<TimelineNote>& notes) {
  for (std::size_t i = 0; i < notes.size(); ++i) {
    const TimelineNote& n = notes[i];
    const std::string where = "note " + std::to_string(i);
    if (n.index != static_cast<int>(i)) throw Malformed{where + " has another index"};
    if (!(n.duration > Beats(0))) throw Malformed{where + " has no duration"};
    if (i > 0 && n.onset < notes[i - 1].onset) throw Malformed{where + " starts before the last"};
    if (n.midi < 0 || n.midi > 127) throw Malformed{where + " has no MIDI pitch"};
  }
}

Timeline read_timeline(const json& j) {
  if (j.value("schema", std::string()) != "endpin.timeline/1") {
    throw Malformed{"\"schema\" is not \"endpin.timeline/1\""};
  }
  Timeline t;
  t.title = j.value("title", std::string());
  t.part = j.value("part", std::string());
  t.instrument = j.value("instrument", std::string());
  t.tempo = read_tempo(j.at("tempo"));
  t.tempo_is_given = j.value("tempo_is_given", false);
  t.beat_unit = beats(j.value("beat_unit_quarters", json("1")));
  if (!(t.beat_unit > Beats(0))) throw Malformed{"the beat unit is not above 0"};
  t.fifths = integer_or(j, "fifths", 0);
  t.minor = j.value("minor", false);
  for (const json& bar : j.at("bars")) t.bars.push_back(read_bar(bar));
  for (const json& note : j.at("notes")) t.notes.push_back(read_note(note));
  check_notes(t.notes);
  return t;
}

}  // namespace

std::string_view name(Articulation a) { return articulation_names[static_cast<std::size_t>(a)]; }
std::string_view name(Ornament o) { return ornament_names[static_cast<std::size_t>(o)]; }

std::string to_json(const Timeline& t) {
  json tempo = json::array();
  for (const TempoChange& c : t.tempo.changes()) {
    tempo.push_back({{"at_quarters", c.at.text()}, {"quarter_bpm", c.tempo.value()}});
  }
  json bars = json::array();
  for (const TimelineBar& b : t.bars) bars.push_back(bar_json(b));
  json notes = json::array();
  for (const TimelineNote& n : t.notes) notes.push_back(note_json(n));
  return json{{"schema", "endpin.timeline/1"},
              {"title", t.title},
              {"part", t.part},
              {"instrument", t.instrument},
              {"tempo", tempo},
              {"tempo_is_given", t.tempo_is_given},
              {"beat_unit_quarters", t.beat_unit.text()},
              {"fifths", t.fifths},
              {"minor", t.minor},
              {"bars", bars},
              {"notes", notes}}
      .dump();
}

Result<Timeline> timeline_from_json(std::string_view text) {
  const auto refuse = [](std::string what) {
    return Unexpected(Error{ErrorKind::input, "timeline", "", std::move(what),
                            "Write it anew with this version of endpin."});
  };
  try {
    return read_timeline(json::parse(text));
  } catch (const json::exception& e) {
    return refuse(e.what());
  } catch (const Malformed& e) {
    return refuse(e.what);
  }
}

}  // namespace endpin
