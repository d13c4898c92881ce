#include "note_writer.h"

#include <algorithm>

#include "musicxml_names.h"

namespace endpin::notation {
namespace {

constexpr std::string_view steps = "CDEFGAB";

std::string step_text(SpelledPitch pitch) {
  return std::string(1, steps[static_cast<std::size_t>(pitch.step)]);
}

void write_pitch(XmlText& xml, const Note& note) {
  if (note.rest == RestKind::bar_rest) {
    xml.empty("rest", {{"measure", "yes"}});
  } else if (note.is_rest()) {
    xml.empty("rest");
  } else if (note.unpitched) {
    xml.open("unpitched");
    xml.leaf("display-step", step_text(note.pitch));
    xml.leaf("display-octave", note.pitch.octave);
    xml.close();
  } else {
    xml.open("pitch");
    xml.leaf("step", step_text(note.pitch));
    if (note.pitch.alter != 0) xml.leaf("alter", note.pitch.alter);
    xml.leaf("octave", note.pitch.octave);
    xml.close();
  }
}

void write_value(XmlText& xml, const Note& note, const NoteSurroundings& around) {
  const auto written = note.written ? note.written : plain_value(note.duration);
  if (note.rest == RestKind::bar_rest || !written) return;
  if (note.written || !note.grace) {
    xml.leaf("type", name_of(note_type_names, written->value));
    for (int i = 0; i < written->dots; ++i) xml.empty("dot");
  }
  if (around.accidental) xml.leaf("accidental", *around.accidental);
  if (written->actual_notes != 1 || written->normal_notes != 1) {
    xml.open("time-modification");
    xml.leaf("actual-notes", written->actual_notes);
    xml.leaf("normal-notes", written->normal_notes);
    xml.close();
  }
}

void write_tuplet(XmlText& xml, const Tuplet& tuplet, std::string_view type) {
  const std::string number = std::to_string(tuplet.number);
  xml.open("tuplet", {{"type", std::string(type)}, {"number", number}});
  xml.open("tuplet-actual");
  xml.leaf("tuplet-number", tuplet.actual);
  xml.close();
  xml.open("tuplet-normal");
  xml.leaf("tuplet-number", tuplet.normal);
  xml.close();
  xml.close();
}

void write_technical(XmlText& xml, const Note& note) {
  const bool harmonic = note.harmonic || note.artificial_harmonic;
  if (!harmonic && !has_marks(note.printed)) return;
  xml.open("technical");
  write_technical_marks(xml, note.printed);
  if (harmonic) {
    xml.open("harmonic");
    if (note.harmonic) xml.empty("natural");
    if (note.artificial_harmonic) xml.empty("artificial");
    const std::string_view place = name_of(harmonic_place_names, note.harmonic_place);
    if (!place.empty()) xml.empty(place);
    xml.close();
  }
  xml.close();
}

void write_articulations(XmlText& xml, const Note& note) {
  if (note.articulations.empty() && !note.breath_after) return;
  xml.open("articulations");
  for (const Articulation a : note.articulations) xml.empty(name_of(articulation_names, a));
  if (note.breath_after) xml.empty("breath-mark");
  xml.close();
}

std::string_view tremolo_type(TremoloRole role) {
  switch (role) {
    case TremoloRole::pair_starts:
      return "start";
    case TremoloRole::pair_stops:
      return "stop";
    case TremoloRole::single:
      break;
  }
  return "single";
}

void write_ornaments(XmlText& xml, const Note& note) {
  const std::string_view mark = name_of(ornament_names, note.ornament);
  const bool tremolo = note.ornament == Ornament::tremolo || note.tremolo_marks > 0;
  if (mark.empty() && !tremolo) return;
  xml.open("ornaments");
  if (!mark.empty()) xml.empty(mark);
  if (tremolo) {
    xml.leaf("tremolo", std::to_string(note.tremolo_marks),
             {{"type", std::string(tremolo_type(note.tremolo_role))}});
  }
  xml.close();
}

void write_notations(XmlText& xml, const Note& note, const NoteSurroundings& around) {
  xml.open("notations");
  if (note.tie_stop) xml.empty("tied", {{"type", "stop"}});
  if (note.tie_start) xml.empty("tied", {{"type", "start"}});
  for (const SlurEnd& slur : note.slurs) {
    xml.empty("slur",
              {{"type", slur.starts ? "start" : "stop"}, {"number", std::to_string(slur.number)}});
  }
  for (const Tuplet& tuplet : note.tuplets) {
    write_tuplet(xml, tuplet, tuplet.starts ? "start" : "stop");
  }
  if (around.ends_glissando) xml.empty("glissando", {{"type", "stop"}, {"number", "1"}});
  if (note.ornament == Ornament::glissando) {
    xml.empty("glissando", {{"type", "start"}, {"number", "1"}});
  }
  write_ornaments(xml, note);
  write_technical(xml, note);
  write_articulations(xml, note);
  if (note.fermata) xml.empty("fermata");
  xml.close_or_drop();
}

void write_lyrics(XmlText& xml, const Note& note) {
  for (std::size_t verse = 0; verse < note.lyrics.size(); ++verse) {
    std::string_view text = note.lyrics[verse];
    if (text.empty()) continue;
    const bool goes_on = text.ends_with('-');
    if (goes_on) text.remove_suffix(1);
    xml.open("lyric", {{"number", std::to_string(verse + 1)}});
    xml.leaf("syllabic", goes_on ? "begin" : "single");
    xml.leaf("text", text);
    xml.close();
  }
}

}  // namespace

std::optional<WrittenDuration> plain_value(Beats duration) {
  for (int value = 0; value <= static_cast<int>(NoteValue::n1024); ++value) {
    for (int dots = 0; dots <= 3; ++dots) {
      const WrittenDuration written{static_cast<NoteValue>(value), dots, 1, 1};
      if (written.beats() == duration) return written;
    }
  }
  return std::nullopt;
}

bool has_marks(const NoteMarkings& marks) { return !(marks == NoteMarkings{}); }

std::string_view level_name(Origin origin) {
  switch (origin) {
    case Origin::printed:
      return "printed";
    case Origin::teacher:
      return "teacher";
    case Origin::proposed:
      return "proposed";
  }
  return {};
}

std::string notations_id(Origin origin, std::string_view note_id) {
  return std::string("endpin-").append(level_name(origin)).append("-").append(note_id);
}

void write_placed(XmlText& xml, std::string_view note_id, const PlacedMarkings& placed) {
  if (!has_marks(placed.marks)) return;
  xml.open("notations", {{"id", notations_id(placed.origin, note_id)}});
  xml.leaf("level", level_name(placed.origin));
  xml.open("technical");
  write_technical_marks(xml, placed.marks);
  xml.close();
  xml.close();
}

void write_technical_marks(XmlText& xml, const NoteMarkings& marks) {
  if (marks.bow) xml.empty(*marks.bow == Bow::up ? "up-bow" : "down-bow");
  if (marks.open_string) xml.empty("open-string");
  if (marks.thumb) xml.empty("thumb-position");
  for (std::size_t i = 0; i < marks.fingers.size(); ++i) {
    xml.leaf("fingering", std::to_string(marks.fingers[i]), {{"substitution", i > 0 ? "yes" : ""}});
  }
  if (marks.string) xml.leaf("string", *marks.string);
}

void write_note(XmlText& xml, const Note& note, const NoteSurroundings& around) {
  xml.open("note", {{"id", note.id}, {"pizzicato", note.plucked ? "yes" : ""}});
  if (note.grace) xml.empty("grace", {{"slash", note.grace_slash ? "yes" : ""}});
  if (note.cue) xml.empty("cue");
  if (note.in_chord) xml.empty("chord");
  write_pitch(xml, note);
  if (!note.grace) xml.leaf("duration", around.duration);
  if (!note.cue) {
    if (note.tie_stop) xml.empty("tie", {{"type", "stop"}});
    if (note.tie_start) xml.empty("tie", {{"type", "start"}});
  }
  xml.leaf("voice", note.voice);
  write_value(xml, note, around);
  if (around.staves > 1 || note.staff > 1) xml.leaf("staff", note.staff);
  for (std::size_t level = 0; level < around.beams.size(); ++level) {
    xml.leaf("beam", around.beams[level], {{"number", std::to_string(level + 1)}});
  }
  write_notations(xml, note, around);
  if (around.placed != nullptr) {
    for (const PlacedMarkings& placed : *around.placed) write_placed(xml, note.id, placed);
  }
  write_lyrics(xml, note);
  xml.close();
}

}  // namespace endpin::notation
