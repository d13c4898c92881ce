#include "table.h"

#include <cmath>

#include <fmt/format.h>

namespace endpin::measures {
namespace {

std::string number(double value, const std::string& unit) {
  if (unit == "%") return fmt::format("{:.2f} %", 100 * value);
  if (std::abs(value) >= 100) return fmt::format("{:.0f} {}", value, unit);
  return fmt::format("{:.3g} {}", value, unit);
}

std::string spread(const Figure& figure) {
  if (!figure.interval) return "";
  const double scale = figure.unit == "%" ? 100 : 1;
  return fmt::format("[{:.4g}, {:.4g}]", scale * figure.interval->low,
                     scale * figure.interval->high);
}

std::string goal(const Figure& figure) {
  if (figure.at_least) return "≥ " + number(*figure.at_least, figure.unit);
  if (figure.at_most) return "≤ " + number(*figure.at_most, figure.unit);
  return "";
}

std::string verdict(const Figure& figure) {
  const auto reached = holds(figure);
  return !reached ? "" : *reached ? "holds" : "MISSES";
}

}  // namespace

std::optional<bool> holds(const Figure& figure) {
  if (figure.n == 0) return std::nullopt;
  if (figure.at_least) return figure.value >= *figure.at_least;
  if (figure.at_most) return figure.value <= *figure.at_most;
  return std::nullopt;
}

Figure share_figure(std::string on, std::string what, const std::vector<Share>& shares,
                    std::string of, std::uint64_t seed) {
  Figure figure{std::move(on), std::move(what), proportion(shares), "%",
                proportion_interval(shares, seed)};
  double cases = 0;
  for (const auto& share : shares) cases += share.cases;
  figure.n = static_cast<int>(std::lround(cases));
  figure.of = std::move(of);
  return figure;
}

std::string text(const std::vector<Figure>& figures) {
  std::string out;
  std::string last;
  for (const auto& f : figures) {
    if (f.on != last) out += fmt::format("\n{}\n", f.on);
    last = f.on;
    out += fmt::format("  {:<46} {:>11} {:<18} N={:<6} {:<8} {:<10} {}\n", f.what,
                       number(f.value, f.unit), spread(f), f.n, f.of, goal(f), verdict(f));
  }
  return out;
}

std::string markdown(const std::vector<Figure>& figures) {
  std::string out =
      "| on | figure | measured | 95 % | N | goal | |\n|---|---|---|---|---|---|---|\n";
  for (const auto& f : figures) {
    out += fmt::format("| {} | {} | {} | {} | {} {} | {} | {} |\n", f.on, f.what,
                       number(f.value, f.unit), spread(f), f.n, f.of, goal(f), verdict(f));
  }
  return out;
}

}  // namespace endpin::measures
