#include <algorithm>
#include <cctype>

#include "musicxml_names.h"
#include "note_writer.h"
#include "part_reader.h"

namespace endpin::notation {
namespace {

int small_number(std::string_view text, int otherwise, int lowest, int highest) {
  const auto number = decimal_number(text);
  if (!number) return otherwise;
  const double rounded = number->to_double() + (number->numerator < 0 ? -0.5 : 0.5);
  return std::clamp(static_cast<int>(rounded), lowest, highest);
}

std::optional<Step> step_named(std::string_view name) {
  constexpr std::string_view steps = "CDEFGAB";
  if (name.size() != 1) return std::nullopt;
  const auto c = static_cast<char>(std::toupper(static_cast<unsigned char>(name[0])));
  const std::size_t at = steps.find(c);
  if (at == std::string_view::npos) return std::nullopt;
  return static_cast<Step>(at);
}

/// A microtonal <alter> is taken to the nearest semitone.
SpelledPitch pitch_of(pugi::xml_node node, const char* step, const char* octave) {
  SpelledPitch pitch;
  pitch.step = step_named(text_of(node, step)).value_or(Step::c);
  pitch.alter = small_number(text_of(node, "alter"), 0, -4, 4);
  pitch.octave = small_number(text_of(node, octave), 4, -1, 9);
  return pitch;
}

/// The notes of every tuplet that a note stands in, multiplied.
void read_time_modification(pugi::xml_node node, WrittenDuration& written) {
  const pugi::xml_node modification = node.child("time-modification");
  if (!modification) return;
  constexpr int most = 1000;
  written.actual_notes = small_number(text_of(modification, "actual-notes"), 1, 1, most);
  written.normal_notes = small_number(text_of(modification, "normal-notes"), 1, 1, most);
}

std::optional<WrittenDuration> written_of(pugi::xml_node node) {
  const auto value = value_named(note_type_names, text_of(node, "type"));
  if (!value) return std::nullopt;
  WrittenDuration written;
  written.value = *value;
  const auto dots = node.children("dot");
  written.dots =
      static_cast<int>(std::min<std::ptrdiff_t>(std::distance(dots.begin(), dots.end()), 8));
  read_time_modification(node, written);
  return written;
}

void read_fingering(pugi::xml_node node, Note& note) {
  for (const char c : text_of(node)) {
    if (c >= '0' && c <= '5') note.printed.fingers.push_back(c - '0');
    if (c == 'T' || c == 't') note.printed.thumb = true;
    if (c == 'o' || c == 'O') note.printed.open_string = true;
  }
}

std::optional<int> string_of(pugi::xml_node node) {
  constexpr std::array<std::string_view, 8> roman{"I", "II", "III", "IV", "V", "VI", "VII", "VIII"};
  const std::string_view text = text_of(node);
  const auto found = std::find(roman.begin(), roman.end(), text);
  if (found != roman.end()) return static_cast<int>(found - roman.begin()) + 1;
  const auto number = whole_number(text);
  if (!number || *number < 1 || *number > 12) return std::nullopt;
  return static_cast<int>(*number);
}

void read_harmonic(pugi::xml_node mark, Note& note) {
  const bool artificial = !mark.child("artificial").empty();
  (artificial ? note.artificial_harmonic : note.harmonic) = true;
  for (const pugi::xml_node child : mark.children()) {
    const auto place = value_named(harmonic_place_names, child.name());
    if (place) note.harmonic_place = *place;
  }
}

/// Music before MusicXML knew harmonics draws the touched place of a stopped note's as a diamond.
void read_notehead(pugi::xml_node node, Note& note) {
  const bool said = note.harmonic || note.artificial_harmonic || note.unpitched;
  if (text_of(node, "notehead") != "diamond" || !node.child("chord") || said) return;
  note.artificial_harmonic = true;
  note.harmonic_place = HarmonicPlace::touching;
}

void read_technical(pugi::xml_node technical, Note& note) {
  for (const pugi::xml_node mark : technical.children()) {
    const std::string_view name = mark.name();
    if (name == "up-bow") note.printed.bow = Bow::up;
    if (name == "down-bow") note.printed.bow = Bow::down;
    if (name == "fingering") read_fingering(mark, note);
    if (name == "string" && !note.printed.string) note.printed.string = string_of(mark);
    if (name == "open-string") note.printed.open_string = true;
    if (name == "thumb-position") note.printed.thumb = true;
    if (name == "snap-pizzicato" || name == "stopped") note.plucked = true;
    if (name == "harmonic") read_harmonic(mark, note);
  }
}

void read_articulations(pugi::xml_node articulations, Note& note) {
  for (const pugi::xml_node mark : articulations.children()) {
    const std::string_view name = mark.name();
    if (name == "breath-mark" || name == "caesura") note.breath_after = true;
    const auto articulation = value_named(articulation_names, name);
    const bool known =
        articulation && std::find(note.articulations.begin(), note.articulations.end(),
                                  *articulation) != note.articulations.end();
    if (articulation && !known) note.articulations.push_back(*articulation);
  }
}

void read_tremolo(pugi::xml_node tremolo, Note& note) {
  const std::string_view type = attribute_of(tremolo, "type");
  note.tremolo_marks = small_number(text_of(tremolo), 3, 0, 8);
  if (type == "start") note.tremolo_role = TremoloRole::pair_starts;
  if (type == "stop") note.tremolo_role = TremoloRole::pair_stops;
  if (note.ornament == Ornament::none) note.ornament = Ornament::tremolo;
}

void read_ornaments(pugi::xml_node ornaments, Note& note) {
  for (const pugi::xml_node mark : ornaments.children()) {
    const std::string_view name = mark.name();
    if (const auto ornament = value_named(ornament_names, name)) note.ornament = *ornament;
    if (name == "tremolo") read_tremolo(mark, note);
    const bool line = name == "wavy-line" && attribute_of(mark, "type") == "start";
    if (line && note.ornament == Ornament::none) note.ornament = Ornament::trill;
  }
}

void read_tuplet(pugi::xml_node node, Note& note) {
  Tuplet tuplet;
  tuplet.starts = attribute_of(node, "type") == "start";
  tuplet.stops = attribute_of(node, "type") == "stop";
  tuplet.number = small_number(attribute_of(node, "number"), 1, 1, 16);
  const int actual = note.written ? note.written->actual_notes : 3;
  const int normal = note.written ? note.written->normal_notes : 2;
  tuplet.actual =
      small_number(text_of(node.child("tuplet-actual"), "tuplet-number"), actual, 1, 1000);
  tuplet.normal =
      small_number(text_of(node.child("tuplet-normal"), "tuplet-number"), normal, 1, 1000);
  note.tuplets.push_back(tuplet);
}

void read_slur(pugi::xml_node node, Note& note) {
  const std::string_view type = attribute_of(node, "type");
  if (type != "start" && type != "stop") return;
  note.slurs.push_back({small_number(attribute_of(node, "number"), 1, 1, 64), type == "start"});
}

void read_tie(pugi::xml_node node, Note& note) {
  const std::string_view type = attribute_of(node, "type");
  note.tie_start = note.tie_start || type == "start";
  note.tie_stop = note.tie_stop || type == "stop";
}

/// Markings of ours in a file that was marked before: a teacher's stand in the place of what is
/// printed, proposals are not the file's.
void read_placed(pugi::xml_node notations, Note& note) {
  if (text_of(notations, "level") != level_name(Origin::teacher)) return;
  Note placed;
  for (const pugi::xml_node technical : notations.children("technical")) {
    read_technical(technical, placed);
  }
  const NoteMarkings& marks = placed.printed;
  if (marks.bow) note.printed.bow = marks.bow;
  if (marks.string) note.printed.string = marks.string;
  if (marks.fingers.empty() && !marks.open_string && !marks.thumb) return;
  note.printed.fingers = marks.fingers;
  note.printed.open_string = marks.open_string;
  note.printed.thumb = marks.thumb;
}

void read_notations(pugi::xml_node notations, Note& note) {
  if (attribute_of(notations, "id").starts_with("endpin-")) return read_placed(notations, note);
  for (const pugi::xml_node mark : notations.children()) {
    const std::string_view name = mark.name();
    if (name == "tied") read_tie(mark, note);
    if (name == "slur") read_slur(mark, note);
    if (name == "tuplet") read_tuplet(mark, note);
    if (name == "technical") read_technical(mark, note);
    if (name == "articulations") read_articulations(mark, note);
    if (name == "ornaments") read_ornaments(mark, note);
    if (name == "fermata") note.fermata = true;
    const bool slide = name == "glissando" || name == "slide";
    if (slide && attribute_of(mark, "type") == "start") note.ornament = Ornament::glissando;
  }
}

void read_lyrics(pugi::xml_node node, Note& note) {
  for (const pugi::xml_node lyric : node.children("lyric")) {
    const int verse = small_number(attribute_of(lyric, "number"), 1, 1, 16);
    std::string text;
    for (const pugi::xml_node part : lyric.children()) {
      if (std::string_view(part.name()) == "text") text += part.child_value();
    }
    const std::string_view syllabic = text_of(lyric, "syllabic");
    if (syllabic == "begin" || syllabic == "middle") text += "-";
    if (static_cast<int>(note.lyrics.size()) < verse) note.lyrics.resize(verse);
    note.lyrics[verse - 1] = text;
  }
}

}  // namespace

Note read_note(pugi::xml_node node, const ReadingState& state) {
  Note note;
  note.id = attribute_of(node, "id");
  note.line = state.source.line(node);
  note.staff = small_number(text_of(node, "staff"), 1, 1, 32);
  note.written = written_of(node);
  if (const pugi::xml_node rest = node.child("rest")) {
    note.rest = attribute_of(rest, "measure") == "yes" ? RestKind::bar_rest : RestKind::rest;
  } else if (const pugi::xml_node unpitched = node.child("unpitched")) {
    note.unpitched = true;
    note.pitch = pitch_of(unpitched, "display-step", "display-octave");
  } else if (step_named(text_of(node.child("pitch"), "step"))) {
    note.pitch = pitch_of(node.child("pitch"), "step", "octave");
  } else {
    note.rest = RestKind::rest;
    state.messages.warn(note.line, "a note without a pitch was read as a rest",
                        "Give it a <pitch> with a <step> from A to G.");
  }
  if (const pugi::xml_node grace = node.child("grace")) {
    note.grace = true;
    note.grace_slash = attribute_of(grace, "slash") == "yes";
  }
  note.cue = !node.child("cue").empty();
  note.plucked = attribute_of(node, "pizzicato") == "yes";
  for (const pugi::xml_node tie : node.children("tie")) read_tie(tie, note);
  for (const pugi::xml_node notations : node.children("notations")) read_notations(notations, note);
  read_notehead(node, note);
  read_lyrics(node, note);
  return note;
}

}  // namespace endpin::notation
