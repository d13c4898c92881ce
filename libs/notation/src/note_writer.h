#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/notation/write.h"

#include "xml_text.h"

namespace endpin::notation {

/// What a note's element needs beside the note.
struct NoteSurroundings {
  long long duration = 0;  ///< in divisions
  std::optional<std::string_view> accidental;
  std::vector<std::string_view> beams;
  bool ends_glissando = false;
  int staves = 1;
  const std::vector<PlacedMarkings>* placed = nullptr;
};

void write_note(XmlText& xml, const Note& note, const NoteSurroundings& around);

/// The written value of a length without tuplets, up to three dots.
std::optional<WrittenDuration> plain_value(Beats duration);

/// `<technical>` children for `marks`, one a line of `XmlText`.
void write_technical_marks(XmlText& xml, const NoteMarkings& marks);
bool has_marks(const NoteMarkings& marks);
std::string_view level_name(Origin origin);

/// The `<notations>` of its own that holds placed markings.
void write_placed(XmlText& xml, std::string_view note_id, const PlacedMarkings& placed);
/// Its id, "endpin-proposed-…", by which it is found again.
std::string notations_id(Origin origin, std::string_view note_id);

}  // namespace endpin::notation
