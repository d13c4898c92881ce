#include <algorithm>

#include "bowing_remarks.h"

namespace endpin::technique {
namespace {

// On a 3:1 rhythm in separate strokes the short one moves three times as fast (calculated); from
// twice on we say so (ours).
constexpr double fast = 2;

bool flies_back(const BowedLine& line, std::size_t i) {
  const StrokeNotes& stroke = line.strokes[i];
  return !stroke.again && line.bowed[i].link == StrokeLink::alternate &&
         line.plan[i].speed_ratio.value_or(0) >= fast &&
         Beats(2) * stroke.place.duration < line.strokes[i - 1].place.duration;
}

MarkingRemark fast_bows() {
  MarkingRemark result;
  result.kind = "fast-bow";
  result.says.key = "bowing.fast-bow";
  result.options.push_back({{"bowing.lighten", {}}, {}, std::nullopt, true});
  result.options.push_back({{"bowing.hook", {}}, {}, std::nullopt, false});
  result.options.push_back({{"bowing.retake", {}}, {}, std::nullopt, false});
  return result;
}

}  // namespace

std::vector<MarkingRemark> remarks_on_fast_bows(const BowedLine& line) {
  MarkingRemark remark = fast_bows();
  double fastest = 0;
  for (std::size_t i = 1; i < line.strokes.size(); ++i) {
    if (!flies_back(line, i)) continue;
    fastest = std::max(fastest, *line.plan[i].speed_ratio);
    add_place(remark, line.bar(i), line.first_id(i));
  }
  if (remark.notes.empty()) return {};
  remark.says.args["ratio"] = argument(fastest, 1);
  return {remark};
}

}  // namespace endpin::technique
