#include "endpin/notation/write.h"

#include "fmt/format.h"
#include "part_writer.h"
#include "xml_text.h"

namespace endpin {
namespace {

using notation::XmlText;

constexpr std::string_view prologue =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" "
    "\"http://www.musicxml.org/dtds/partwise.dtd\">\n";

std::string part_id(const Part& part, std::size_t index) {
  return part.id.empty() ? fmt::format("P{}", index + 1) : part.id;
}

void write_header(XmlText& xml, const Score& score) {
  if (!score.title.empty()) {
    xml.open("work");
    xml.leaf("work-title", score.title);
    xml.close();
  }
  xml.open("identification");
  if (!score.composer.empty()) xml.leaf("creator", score.composer, {{"type", "composer"}});
  if (!score.rights.empty()) xml.leaf("rights", score.rights);
  xml.open("encoding");
  xml.leaf("software", "Endpin");
  xml.empty("supports", {{"element", "accidental"}, {"type", "yes"}});
  xml.empty("supports", {{"element", "beam"}, {"type", "yes"}});
  xml.close();
  xml.close();
}

void write_part_header(XmlText& xml, const Part& part, const std::string& id) {
  const std::string instrument = id + "-I1";
  xml.open("score-part", {{"id", id}});
  xml.leaf("part-name", part.name);
  if (!part.abbreviation.empty()) xml.leaf("part-abbreviation", part.abbreviation);
  if (!part.instrument_sound.empty() || part.midi_program) {
    xml.open("score-instrument", {{"id", instrument}});
    xml.leaf("instrument-name", part.name);
    if (!part.instrument_sound.empty()) xml.leaf("instrument-sound", part.instrument_sound);
    xml.close();
  }
  if (part.midi_program) {
    xml.open("midi-instrument", {{"id", instrument}});
    xml.leaf("midi-program", *part.midi_program);
    xml.close();
  }
  xml.close();
}

}  // namespace

std::string write_musicxml(const Score& score, const MarkingsById& markings) {
  XmlText xml;
  xml.raw(prologue);
  xml.open("score-partwise", {{"version", "4.0"}});
  write_header(xml, score);
  xml.open("part-list");
  for (std::size_t i = 0; i < score.parts.size(); ++i) {
    write_part_header(xml, score.parts[i], part_id(score.parts[i], i));
  }
  xml.close();
  for (std::size_t i = 0; i < score.parts.size(); ++i) {
    xml.open("part", {{"id", part_id(score.parts[i], i)}});
    notation::PartWriter(xml, score.parts[i], markings).write();
    xml.close();
  }
  xml.close();
  return xml.take();
}

}  // namespace endpin
