#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/beats.h"
#include "endpin/base/units.h"
#include "endpin/score/score.h"
#include "endpin/words/sentence.h"

/// Directions of bow strokes: as it comes from what is printed, shortest path over two directions,
/// costs as data (`bowing_costs.def`).
namespace endpin {

struct BowingCosts {
#define COST(name, value, why) double name = value;
#include "endpin/technique/bowing_costs.def"
#undef COST
};
bool set_cost(BowingCosts& costs, std::string_view name, double value);

/// What leads from one stroke to the next.
enum class StrokeLink {
  first,      ///< nothing before it
  alternate,  ///< the other direction, as it comes
  retake,     ///< the same direction, the bow lifted and put back
  hook,       ///< the same direction and the same bow, stopped between
};

/// A stroke before its direction is known: what the notes say about it.
struct StrokePlace {
  Beats onset;                 ///< played quarters
  Beats duration;              ///< of all its notes
  Seconds seconds;             ///< the same
  Seconds rest_before;         ///< silence between the stroke before and this one
  bool downbeat = false;       ///< starts on a bar's first beat
  bool strong_beat = false;    ///< starts on another beat
  bool pickup = false;         ///< starts in the pickup, or alone before a downbeat after a rest
  bool section_start = false;  ///< the piece, or a repeat, begins with it
  bool breath_before = false;  ///< breath mark, fermata, repeat sign or double bar before it
  bool single = true;          ///< one note: can be hooked
  bool plucked = false;
  std::optional<Bow> fixed;  ///< printed or the teacher's
};

struct BowedStroke {
  Bow bow = Bow::down;
  StrokeLink link = StrokeLink::alternate;
  bool operator==(const BowedStroke&) const = default;
};

struct Bowing {
  std::vector<BowedStroke> strokes;
  double cost = 0;
};

/// The cheapest directions. O(strokes). A fixed direction always holds.
Bowing bow(std::span<const StrokePlace> strokes, const BowingCosts& costs = {});
/// What it costs to lead from one stroke to the next so; infinite where it cannot be done.
double link_cost(const StrokePlace& from, const StrokePlace& to, StrokeLink link,
                 const BowingCosts& costs);
/// What a given row of directions costs; nothing if a link and its directions disagree.
std::optional<double> bowing_cost(std::span<const StrokePlace> strokes, const BowingCosts& costs,
                                  std::span<const BowedStroke> choice);

/// Where the bow is in a stroke: 0 the frog, 1 the tip.
struct BowSpan {
  double start = 0;
  double end = 0;
  double speed = 0;                   ///< bow lengths a second
  std::optional<double> speed_ratio;  ///< to the stroke before, if no rest stands between them
};
/// "frog", "middle" or "tip": the third of the bow.
std::string_view bow_region(double place);

/// How much bow each stroke takes, and where. What it would take follows its duration (a half note
/// the whole bow, a quarter half of it, an eighth a quarter: common practice), at most one and a
/// half bow lengths a second (ours). Since the bow goes on from where it is, and only a retake or a
/// rest lets it be put elsewhere, the strokes agree on the spans that are nearest to what they
/// would take, by the squared logarithm of their ratio: shortest path over sixteenths of the bow.
/// After a dotted quarter the eighth must bring the bow back, and so moves three times as fast
/// (calculated). Plucked strokes have empty spans. O(strokes).
std::vector<BowSpan> bow_plan(std::span<const StrokePlace> strokes,
                              std::span<const BowedStroke> bowed);

}  // namespace endpin
