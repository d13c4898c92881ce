#include "measure/fall.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "quantiles.h"

namespace endpin::listen {
namespace {

// Ours: past the attack; and a stretch just before the dip that the next beginning makes.
constexpr double settled_s = 0.04, end_from_s = 0.15, end_to_s = 0.05, shortest_s = 0.25;
// So soon a bow that rests loses its tone; one that plays softer and softer takes the whole note.
constexpr double soon_s = 0.25;
// A room of 1.5 s takes 6 dB of a tone in 0.15 s.
constexpr double past_from_s = 0.12, past_to_s = 0.2, past_softer_db = 5;
// What counts as a tone's level, and below its loudest frame as the silence after it.
constexpr double loud_share = 0.75, silent_db = 15;
constexpr float still_there = 0.5F;  // of the salience of the frame's best pitch

double level_at(const Observations& seen, std::size_t frame) {
  const auto& onset = seen.sound().onset;
  const double s = static_cast<double>(frame) * seen.step_s();
  const auto at = static_cast<std::size_t>(std::lround(s / seen.sound().step_s));
  return static_cast<double>(onset[std::min(at, onset.size() - 1)].level_db);
}

bool sounds(const Observations& seen, std::size_t frame, int midi) {
  const auto& pitch = seen.pitch();
  return !seen.quiet(frame) && pitch.salience(frame, midi) > still_there * pitch.best(frame);
}

std::size_t frame_at(const Observations& seen, double s) {
  return std::min(seen.frames() - 1, static_cast<std::size_t>(s / seen.step_s()));
}

// Decibels of the frames between two times.
std::vector<double> levels_between(const Observations& seen, double from_s, double to_s) {
  std::vector<double> levels;
  for (std::size_t f = frame_at(seen, from_s); f <= frame_at(seen, to_s); ++f) {
    levels.push_back(level_at(seen, f));
  }
  return levels;
}

double loudness(const Observations& seen, double from_s, double to_s) {
  std::vector<double> levels = levels_between(seen, from_s, to_s);
  return levels.empty() ? seen.floor_db() : tone_level(std::move(levels));
}

}  // namespace

double level_not_exceeded(const Observations& seen, double from_s, double to_s, double share) {
  std::vector<double> levels = levels_between(seen, from_s, to_s);
  return levels.empty() ? seen.floor_db() : quantile(std::move(levels), share);
}

double tone_level(std::vector<double> db) {
  const double silent = *std::max_element(db.begin(), db.end()) - silent_db;
  std::erase_if(db, [&](double level) { return level < silent; });
  return quantile(std::move(db), loud_share);
}

std::optional<double> fall_before_next(const Observations& seen, int midi, double onset_s,
                                       double next_s) {
  if (next_s - onset_s < shortest_s || seen.frames() == 0) return std::nullopt;
  const double loud = loudness(seen, onset_s + settled_s, next_s - end_from_s);
  std::vector<double> sums{0};
  const std::size_t first = frame_at(seen, onset_s + settled_s);
  for (std::size_t f = first; f <= frame_at(seen, next_s - end_to_s); ++f) {
    const double level = level_at(seen, f);
    sums.push_back(sums.back() +
                   (sounds(seen, f, midi) ? level : std::min(seen.floor_db(), level)));
  }
  const auto stretch = std::min(
      sums.size() - 1, static_cast<std::size_t>((end_from_s - end_to_s) / seen.step_s()) + 1);
  const auto mean = [&](std::size_t end) {
    return (sums[end] - sums[end - stretch]) / static_cast<double>(stretch);
  };
  const std::size_t last = sums.size() - 1;
  const auto later = static_cast<std::size_t>(soon_s / seen.step_s());
  double steepest = 0;
  for (std::size_t end = stretch; end <= last; ++end) {
    steepest = std::max(steepest, mean(end) - mean(std::min(last, end + later)));
  }
  return std::clamp(loud - mean(last), 0.0, steepest);
}

bool sounds_past(const Observations& seen, int midi, double onset_s, double offset_s,
                 double next_s) {
  const double from_s = offset_s + past_from_s, to_s = offset_s + past_to_s;
  if (to_s > next_s - end_to_s || seen.frames() == 0) return false;
  const double least = loudness(seen, onset_s, offset_s) - past_softer_db;
  std::size_t there = 0, all = 0;
  for (std::size_t f = frame_at(seen, from_s); f <= frame_at(seen, to_s); ++f) {
    ++all;
    there += sounds(seen, f, midi) && level_at(seen, f) > least;
  }
  return there * 2 > all;
}

}  // namespace endpin::listen
