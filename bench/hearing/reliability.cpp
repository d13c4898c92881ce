#include "reliability.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace endpin::measures {
namespace {

constexpr double side = 400, margin = 60, bars = 80;  // pixels

double x_of(double claimed) { return margin + side * claimed; }
double y_of(double share) { return margin + side * (1 - share); }

// Wilson's score interval of a share, 95 %.
std::pair<double, double> wilson(double share, int n) {
  constexpr double z = 1.96;
  const double middle = (share + z * z / (2 * n)) / (1 + z * z / n);
  const double half =
      z * std::sqrt(share * (1 - share) / n + z * z / (4.0 * n * n)) / (1 + z * z / n);
  return {middle - half, middle + half};
}

std::string axes() {
  std::string out;
  for (int tick = 0; tick <= 10; tick += 2) {
    const double at = tick / 10.0;
    out += fmt::format(
        "<text x='{:.0f}' y='{:.0f}' text-anchor='end'>{:.1f}</text>"
        "<text x='{:.0f}' y='{:.0f}' text-anchor='middle'>{:.1f}</text>\n",
        margin - 8, y_of(at) + 4, at, x_of(at), margin + side + bars + 20, at);
  }
  out += fmt::format(
      "<rect x='{0}' y='{0}' width='{1}' height='{1}' fill='none' stroke='#888'/>"
      "<line x1='{0}' y1='{2}' x2='{2}' y2='{0}' stroke='#888' stroke-dasharray='4 4'/>\n",
      margin, side, margin + side);
  out += fmt::format(
      "<text x='{0}' y='{1}' text-anchor='middle'>claimed</text>"
      "<text x='{0}' y='30' text-anchor='middle'>was so, by what was claimed</text>\n",
      margin + side / 2, margin + side + bars + 44);
  return out;
}

std::string mark(const ReliabilityBin& bin, int most) {
  const auto [low, high] = wilson(bin.right, bin.claims);
  const double x = x_of(bin.mean_confidence);
  const double tall = (bars - 24) * bin.claims / most;
  return fmt::format(
      "<line x1='{0:.1f}' y1='{1:.1f}' x2='{0:.1f}' y2='{2:.1f}' stroke='#15508a'/>"
      "<circle cx='{0:.1f}' cy='{3:.1f}' r='4' fill='#15508a'/>"
      "<rect x='{4:.1f}' y='{5:.1f}' width='{6:.1f}' height='{7:.1f}' fill='#9ab'/>"
      "<text x='{0:.1f}' y='{8:.1f}' text-anchor='middle' font-size='11'>{9}</text>\n",
      x, y_of(low), y_of(high), y_of(bin.right), x_of(bin.from) + 2, margin + side + bars - tall,
      x_of(bin.to) - x_of(bin.from) - 4, tall, margin + side + bars - tall - 4, bin.claims);
}

}  // namespace

std::vector<ReliabilityBin> reliability(const std::vector<Claim>& claims, int bins) {
  std::vector<ReliabilityBin> out(static_cast<std::size_t>(bins));
  for (int b = 0; b < bins; ++b) {
    out[static_cast<std::size_t>(b)].from = 1.0 * b / bins;
    out[static_cast<std::size_t>(b)].to = (b + 1.0) / bins;
  }
  for (const auto& claim : claims) {
    const int place = std::clamp(static_cast<int>(claim.confidence * bins), 0, bins - 1);
    auto& bin = out[static_cast<std::size_t>(place)];
    ++bin.claims;
    bin.mean_confidence += claim.confidence;
    bin.right += claim.right ? 1 : 0;
  }
  for (auto& bin : out) {
    if (bin.claims == 0) continue;
    bin.mean_confidence /= bin.claims;
    bin.right /= bin.claims;
  }
  return out;
}

double calibration_error(const std::vector<ReliabilityBin>& bins) {
  double sum = 0;
  int claims = 0;
  for (const auto& bin : bins) {
    sum += bin.claims * std::abs(bin.mean_confidence - bin.right);
    claims += bin.claims;
  }
  return claims > 0 ? sum / claims : 0;
}

std::string reliability_drawing(const std::vector<ReliabilityBin>& bins) {
  int most = 1;
  for (const auto& bin : bins) most = std::max(most, bin.claims);
  std::string out = fmt::format(
      "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {0:.0f} {1:.0f}' width='{0:.0f}' "
      "height='{1:.0f}' font-family='sans-serif' font-size='13'>"
      "<rect width='100%' height='100%' fill='white'/>\n",
      side + 2 * margin, side + bars + 2 * margin);
  out += axes();
  for (const auto& bin : bins) {
    if (bin.claims > 0) out += mark(bin, most);
  }
  return out + "</svg>\n";
}

}  // namespace endpin::measures
