#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "endpin/score/score.h"

#include "coda_signs.h"
#include "grid.h"
#include "messages.h"
#include "split_bars.h"
#include "xml_source.h"

namespace endpin::notation {

/// What the readers of one score share.
struct ReadingState {
  const XmlSource& source;
  Messages& messages;
  Grid& grid;
  std::size_t notes = 0;  ///< read so far, in all parts
};

/// A place where plucking begins or ends.
struct PluckChange {
  std::size_t bar = 0;
  Beats at;
  bool plucked = false;
};

/// Reads the measures of one part, in order, into `part`.
class PartReader {
 public:
  PartReader(Part& part, ReadingState& state) : part_(part), state_(state) {}

  Result<void> read_measure(pugi::xml_node measure);
  /// What is known only at the part's end: voices in order, plucking.
  void finish();
  const std::vector<Split>& splits() const { return splits_; }

 private:
  // part_reader.cpp
  Result<void> read_child(pugi::xml_node child);
  Result<void> read_note_element(pugi::xml_node node);
  Result<void> move(pugi::xml_node node, int direction);
  std::optional<Beats> duration_of(pugi::xml_node node);
  void place(Note note, bool in_chord);
  int voice_index(pugi::xml_node node);
  void renumber_voices();
  void apply_plucking();

  // attributes_reader.cpp
  Result<void> read_attributes(pugi::xml_node node);
  Result<void> read_divisions(pugi::xml_node node);
  void read_key(pugi::xml_node key);
  void read_time(pugi::xml_node time);
  void read_clef(pugi::xml_node clef);
  void read_transpose(pugi::xml_node transpose);
  void read_measure_style(pugi::xml_node style);
  bool first_staff_only(pugi::xml_node node) const;

  // directions_reader.cpp
  void read_direction(pugi::xml_node node);
  void read_direction_type(pugi::xml_node type, Direction base);
  void read_words(std::string_view text, const Direction& base);
  void read_metronome(pugi::xml_node node, const Direction& base);
  void read_sound(pugi::xml_node sound, const Direction& base);
  void attach_tempo(Bpm tempo, const Direction& base);
  void pluck(bool plucked, const Direction& base);

  // barline_reader.cpp
  Result<void> read_barline(pugi::xml_node node);
  Result<void> read_repeat(pugi::xml_node repeat, bool middle);
  void read_ending(pugi::xml_node ending);
  void end_bar_under_ending();

  Bar& bar() { return part_.bars.back(); }
  int line(pugi::xml_node node) const { return state_.source.line(node); }

  Part& part_;
  ReadingState& state_;
  std::int64_t divisions_ = 1;
  Beats cursor_;
  Beats reached_;
  Beats chord_onset_;
  int last_voice_ = 0;
  std::vector<std::string> voices_;  // as the file names them, in order of appearance
  std::vector<PluckChange> plucking_;
  std::vector<CodaSign> coda_signs_;
  std::vector<Split> splits_;
  std::vector<int> ending_;  // numbers of the ending that is open
  int last_ending_ = 0;
  bool ending_stops_here_ = false;
  int repeat_of_bars_ = 0;
  std::size_t first_here_ = 0;    // of this direction's entries in the bar
  bool sound_navigates_ = false;  // this direction's sound says where playing goes
};

/// The note without its place; `voice`, `onset` and `duration` are the caller's. (note_reader.cpp)
Note read_note(pugi::xml_node node, const ReadingState& state);

}  // namespace endpin::notation
