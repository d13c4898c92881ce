#include <algorithm>

#include "fmt/ranges.h"
#include "musicxml_names.h"
#include "part_writer.h"

namespace endpin::notation {
namespace {

void write_key(XmlText& xml, const KeySignature& key) {
  xml.open("key");
  xml.leaf("fifths", key.fifths);
  if (!key.mode.empty()) xml.leaf("mode", key.mode);
  xml.close();
}

void write_time(XmlText& xml, const TimeSignature& time) {
  xml.open("time", {{"symbol", time.common ? "common" : time.cut ? "cut" : ""}});
  if (time.senza_misura) {
    xml.leaf("senza-misura", "");
  } else {
    xml.leaf("beats", time.groups.empty() ? std::to_string(time.beats)
                                          : fmt::format("{}", fmt::join(time.groups, "+")));
    xml.leaf("beat-type", time.beat_type);
  }
  xml.close();
}

void write_clef(XmlText& xml, const Clef& clef, int staves) {
  const std::string number = staves > 1 || clef.staff > 1 ? std::to_string(clef.staff) : "";
  const std::string_view sign = name_of(clef_sign_names, clef.sign);
  xml.open("clef", {{"number", number}});
  xml.leaf("sign", sign.empty() ? "none" : sign);
  xml.leaf("line", clef.line);
  if (clef.octave_change != 0) xml.leaf("clef-octave-change", clef.octave_change);
  xml.close();
}

void write_transpose(XmlText& xml, const Transposition& transpose) {
  xml.open("transpose");
  xml.leaf("diatonic", transpose.diatonic);
  xml.leaf("chromatic", transpose.chromatic);
  if (transpose.octave_change != 0) xml.leaf("octave-change", transpose.octave_change);
  xml.close();
}

}  // namespace

/// MusicXML wants keys before times before clefs; the order inside a kind stays.
void PartWriter::write_changes(const std::vector<const Change*>& changes) {
  if (changes.empty()) return;
  xml_.open("attributes");
  for (const Change* c : changes) {
    if (c->kind == ChangeKind::key) write_key(xml_, c->key);
    if (c->kind == ChangeKind::key) accidentals_.change_key(c->key.fifths);
  }
  for (const Change* c : changes) {
    if (c->kind == ChangeKind::time) write_time(xml_, c->time);
  }
  for (const Change* c : changes) {
    if (c->kind == ChangeKind::clef) write_clef(xml_, c->clef, part_.staves);
  }
  for (const Change* c : changes) {
    if (c->kind == ChangeKind::transposition) write_transpose(xml_, c->transpose);
  }
  xml_.close();
}

void PartWriter::write_first_attributes(std::size_t index) {
  if (index != 0) return;
  const auto at_start = [](const Change& change) { return change.at == Beats(0); };
  xml_.open("attributes");
  xml_.leaf("divisions", divisions_);
  std::vector<const Change*> changes;
  for (const Change& change : part_.bars[0].changes) {
    if (at_start(change)) changes.push_back(&change);
  }
  for (const Change* c : changes) {
    if (c->kind == ChangeKind::key) write_key(xml_, c->key);
  }
  for (const Change* c : changes) {
    if (c->kind == ChangeKind::time) write_time(xml_, c->time);
  }
  if (part_.staves > 1) xml_.leaf("staves", part_.staves);
  for (const Change* c : changes) {
    if (c->kind == ChangeKind::clef) write_clef(xml_, c->clef, part_.staves);
  }
  if (!(part_.transpose == Transposition{})) write_transpose(xml_, part_.transpose);
  xml_.close();
  std::erase_if(items_,
                [&](const Item& item) { return item.change != nullptr && at_start(*item.change); });
}

void PartWriter::write_measure_style(std::size_t index) {
  const Bar& bar = part_.bars[index];
  const int before = index == 0 ? 0 : part_.bars[index - 1].repeat_of_bars;
  if (bar.multi_rest > 0) {
    xml_.open("attributes");
    xml_.open("measure-style");
    xml_.leaf("multiple-rest", bar.multi_rest);
    xml_.close();
    xml_.close();
  }
  if (bar.repeat_of_bars == before) return;
  xml_.open("attributes");
  xml_.open("measure-style");
  const bool starts = bar.repeat_of_bars > 0;
  xml_.leaf("measure-repeat", starts ? std::to_string(bar.repeat_of_bars) : std::string(),
            {{"type", starts ? "start" : "stop"}});
  xml_.close();
  xml_.close();
}

}  // namespace endpin::notation
