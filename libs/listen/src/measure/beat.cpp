#include "measure/beat.h"

#include <algorithm>
#include <cmath>

#include "quantiles.h"

namespace endpin::listen {
namespace {

constexpr double reach_s = 2.0;  // ours: about four beats at 120
constexpr std::size_t most_neighbours = 10;
// Who stays that much longer, of the note's own time and in seconds, has stopped: what comes after
// is no measure of what came before.
constexpr double stays_by_share = 0.75, stays_by_s = 0.5;

struct Point {
  double written, real, weight;
};

struct Line {
  double level = 0, slope = 1;
  double doubt = 0;  // standard error of the level
  double at(double x) const { return level + slope * x; }
};

std::optional<Line> fit(const std::vector<Point>& points) {
  double w = 0, x = 0, y = 0;
  for (const Point& p : points) w += p.weight, x += p.weight * p.written, y += p.weight * p.real;
  if (w <= 1e-9) return std::nullopt;
  x /= w, y /= w;
  double xx = 0, xy = 0;
  for (const Point& p : points) {
    xx += p.weight * (p.written - x) * (p.written - x);
    xy += p.weight * (p.written - x) * (p.real - y);
  }
  if (xx <= 1e-9) return std::nullopt;
  const double slope = xy / xx;
  return Line{y - slope * x, slope};
}

// Two degrees of freedom went into the line.
double level_doubt(const std::vector<Point>& points, const Line& line) {
  double w = 0, squares = 0;
  for (const Point& p : points) {
    const double away = p.real - line.at(p.written);
    w += p.weight, squares += p.weight * away * away;
  }
  const double n = static_cast<double>(points.size());
  return n > 2 && w > 0 ? std::sqrt(squares / w / (n - 2)) : 0;
}

std::optional<Line> robust_line(std::vector<Point> points) {
  const std::vector<Point> original = points;
  std::optional<Line> line = fit(points);
  for (int round = 0; round < 3 && line; ++round) {
    std::vector<double> away;
    for (const Point& p : original) away.push_back(std::abs(p.real - line->at(p.written)));
    const double scale = std::max(0.012, 4.5 * middle_of(away));
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double u = std::min(1.0, away[i] / scale);
      points[i].weight = original[i].weight * (1 - u * u) * (1 - u * u);
    }
    line = fit(points);
  }
  if (line) line->doubt = level_doubt(points, *line);
  return line;
}

// From one event that was played to the next.
struct Step {
  std::size_t from, to;
  double written_s, real_s;
};

std::vector<Step> steps_of(std::span<const Fine> events, const std::vector<double>& written) {
  std::vector<Step> steps;
  std::size_t from = 0;
  for (std::size_t i = 1; i < events.size(); ++i) {
    if (events[i].left_out && !events[i].jumped_to) continue;
    const bool is_step = !events[i].jumped_to && !events[i].extra_before && !events[from].left_out;
    if (is_step && written[i] > written[from]) {
      steps.push_back(
          {from, i, written[i] - written[from], events[i].onset_s - events[from].onset_s});
    }
    from = i;
  }
  return steps;
}

// Whether the beat goes on to each event from the one before; `written`: where each is, seconds.
std::vector<bool> goes_on_to(const ScoreModel& score, std::span<const Fine> events,
                             const std::vector<double>& written) {
  std::vector<bool> goes_on;
  for (const Fine& f : events) goes_on.push_back(!f.jumped_to && !f.extra_before);
  const std::vector<Step> steps = steps_of(events, written);
  if (steps.empty()) return goes_on;
  std::vector<double> paces;
  for (const Step& s : steps) paces.push_back(s.real_s / s.written_s);
  const double pace = middle_of(std::move(paces));
  for (const Step& s : steps) {
    const double due = pace * s.written_s, stays = s.real_s - due;
    const bool fermata = score.events[static_cast<std::size_t>(events[s.from].event)].fermata;
    if (fermata || stays > std::max(stays_by_s, stays_by_share * due)) goes_on[s.to] = false;
  }
  return goes_on;
}

}  // namespace

std::vector<LocalBeat> local_beats(const ScoreModel& score, std::span<const Fine> events) {
  std::vector<LocalBeat> beats(events.size());
  std::vector<double> written(events.size());
  for (std::size_t i = 1; i < events.size(); ++i) {
    double passed = 0;
    for (int k = events[i - 1].event; k < events[i].event; ++k) {
      passed += score.events[static_cast<std::size_t>(k)].seconds;
    }
    written[i] = written[i - 1] + passed;
  }
  const std::vector<bool> goes_on = goes_on_to(score, events, written);
  for (std::size_t i = 0; i < events.size(); ++i) {
    std::vector<Point> near;
    const auto add = [&](std::size_t j) {
      const double away = (written[j] - written[i]) / reach_s;
      if (!events[j].left_out) {
        near.push_back({written[j] - written[i], events[j].onset_s, std::exp(-0.5 * away * away)});
      }
    };
    bool before = false, after = false;
    for (std::size_t j = i; j-- > 0 && i - j <= most_neighbours;) {
      if (!goes_on[j + 1]) break;
      add(j), before = true;
    }
    for (std::size_t j = i + 1; j < events.size() && j - i <= most_neighbours; ++j) {
      if (!goes_on[j]) break;
      add(j), after = true;
    }
    const auto line = near.size() >= 3 ? robust_line(near) : std::nullopt;
    if (!line) continue;
    beats[i].seconds_per_written = std::clamp(line->slope, 0.2, 5.0);
    if (before && after && near.size() >= 4) {
      beats[i].deviation_s = events[i].onset_s - line->at(0);
      beats[i].doubt_s = line->doubt;
    }
  }
  return beats;
}

}  // namespace endpin::listen
