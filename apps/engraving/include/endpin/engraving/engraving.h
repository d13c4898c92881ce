#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/base/units.h"

namespace endpin::app {

/// How a score is drawn. Lengths are millimetres of the finished picture.
struct EngraveOptions {
  double width = 180;       ///< of the page
  double height = 0;        ///< of the page; 0: one page, as high as it needs to be
  double staff_height = 7;  ///< lowest to highest line
  double system_gap = 4;    ///< least room between systems, in staff spaces; whole numbers
  bool own_breaks = false;  ///< systems begin where the score says so, and nowhere else
  int seed = 1;             ///< for ids that are made up; pictures that share a page need two
  std::vector<std::string> proposed_fingers;  ///< ids of notes: their fingering, and
  std::vector<std::string> proposed_bows;     ///< their bow marks, get the class "proposed"
};

/// A drawn score. Ids of notes are those of the MusicXML.
struct Engraving {
  std::vector<std::string> pages;  ///< SVG documents that need no other file
  std::string timemap;             ///< JSON of the engraver: its own unfolding, for comparison
  std::string version;             ///< of the engraver
};

struct EngraveRequest {
  std::string musicxml;
  EngraveOptions options;
};

/// Draws a score with the engraver's process (node). The same input gives the same bytes.
/// Errors (machine): node or the engraver is missing, or it took longer than `limit`;
/// (input): the engraver cannot read the score. Takes about 0.5 s.
Result<Engraving> engrave(std::string_view musicxml, const EngraveOptions& options = {},
                          Seconds limit = Seconds(60));

/// The same for several, in order, with one start of the process. REQUIRES: not empty.
Result<std::vector<Engraving>> engrave_all(const std::vector<EngraveRequest>& requests,
                                           Seconds limit = Seconds(60));

/// Whether the engraver's files are on this machine; node itself is not looked for.
bool engraver_is_built();

}  // namespace endpin::app
