#pragma once

#include <vector>

#include "pugixml.hpp"

namespace endpin::notation {

struct NumberedNote {
  pugi::xml_node node;
  bool had_id = false;    ///< the file's own
  bool replaced = false;  ///< it had one that another note has too
};

/// Gives every note element below a score's root an `id`: its own where no other note has it,
/// otherwise one made from its place (part, bar, number in the bar), the same for the same file.
/// O(notes). In document order.
std::vector<NumberedNote> number_notes(pugi::xml_node root);

}  // namespace endpin::notation
