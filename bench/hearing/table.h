#pragma once

#include <optional>
#include <string>
#include <vector>

#include "bootstrap.h"

namespace endpin::measures {

/// One figure of the table, with what it was taken over.
struct Figure {
  std::string on;    ///< what was played: "violin-partita"
  std::string what;  ///< "found within 50 ms"
  double value = 0;
  std::string unit;  ///< "%", "ms", "cents", "×"; shares are given as 0…1 with "%"
  std::optional<Interval> interval;
  int n = 0;
  std::string of = {};  ///< what n counts: "notes", "takes"
  std::optional<double> at_least = {};
  std::optional<double> at_most = {};
};

/// Whether the figure reaches its goal; empty if it has none.
std::optional<bool> holds(const Figure& figure);
/// A share of hits, its interval over the units and the number of cases.
Figure share_figure(std::string on, std::string what, const std::vector<Share>& shares,
                    std::string of, std::uint64_t seed);

/// One line a figure: on, what, value [interval], N, goal, "holds" or "misses".
std::string text(const std::vector<Figure>& figures);
/// The same as rows of a Markdown table, for the documentation.
std::string markdown(const std::vector<Figure>& figures);

}  // namespace endpin::measures
