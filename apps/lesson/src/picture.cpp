#include "picture.h"

#include "endpin/engraving/sheet.h"

namespace endpin::app {
namespace {

void list_proposed(const MarkingsById& shown, EngraveOptions& options) {
  for (const auto& [id, marks] : shown) {
    for (const PlacedMarkings& placed : marks) {
      if (placed.origin != Origin::proposed) continue;
      if (!placed.marks.fingers.empty()) options.proposed_fingers.push_back(id);
      if (placed.marks.bow) options.proposed_bows.push_back(id);
    }
  }
}

}  // namespace

Score part_alone(const Score& score, int part) {
  Score alone = score;
  alone.parts = {score.parts.at(static_cast<std::size_t>(part))};
  alone.parts[0].name.clear();
  alone.parts[0].abbreviation.clear();
  return alone;
}

EngraveRequest picture_request(const Score& score, const MarkingsById& shown, double width,
                               double staff_height, int seed, bool lighter) {
  EngraveRequest request;
  request.musicxml = write_musicxml(score, shown);
  request.options.width = width + bar_number_room(staff_height);
  request.options.staff_height = staff_height;
  request.options.own_breaks = true;
  request.options.system_gap = 2;
  request.options.seed = seed;
  if (lighter) list_proposed(shown, request.options);
  return request;
}

}  // namespace endpin::app
