#pragma once

#include <cstdint>
#include <map>
#include <vector>

#include "endpin/notation/write.h"

#include "accidentals.h"
#include "xml_text.h"

namespace endpin::notation {

/// Writes the measures of one part.
class PartWriter {
 public:
  PartWriter(XmlText& xml, const Part& part, const MarkingsById& markings);
  void write();

 private:
  /// A change or a direction, at its place.
  struct Item {
    Beats at;
    const Change* change = nullptr;
    const Direction* direction = nullptr;
  };

  // part_writer.cpp
  void write_bar(std::size_t index);
  void write_voice(const Bar& bar, int voice);
  void write_one_note(const Bar& bar, std::size_t index);
  void write_items_until(Beats place);
  void move_to(Beats place);
  void fill(const Bar& bar);
  long long divisions(Beats length) const;
  bool ends_glissando(const Note& note);

  // signature_writer.cpp
  void write_first_attributes(std::size_t index);
  void write_measure_style(std::size_t index);
  void write_changes(const std::vector<const Change*>& changes);

  // direction_writer.cpp
  void write_direction(const Direction& direction);
  void write_signs_at_start(const Navigation& navigation);
  void write_jumps_at_end(const Bar& bar);

  // barline_writer.cpp
  void write_left_barline(const Bar& bar);
  void write_right_barline(const Bar& bar);

  XmlText& xml_;
  const Part& part_;
  const MarkingsById& markings_;
  std::vector<Context> contexts_;
  std::int64_t divisions_ = 1;
  Beats cursor_;
  Beats reached_;
  std::vector<Item> items_;  // of this bar, by place
  std::size_t next_item_ = 0;
  std::vector<std::vector<std::string_view>> beams_;
  Accidentals accidentals_;
  std::map<int, bool> glissando_;  // by voice: one is under way
};

}  // namespace endpin::notation
