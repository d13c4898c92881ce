#include <algorithm>
#include <cstdlib>
#include <set>
#include <string>

#include "endpin/technique/markings.h"

namespace endpin {
namespace {

// What a beginner's page does not hold (ours): more than one note in six quicker than six a second,
// half of them quicker than four, more than two in ten outside the signature, a range of more than
// an octave and a fourth, slurs of more than four notes, two strings at once, trills, far keys.
constexpr double quickest_seconds = 1.0 / 6;
constexpr double quick_seconds = 1.0 / 4;
constexpr double most_quickest = 1.0 / 6;
constexpr double most_quick = 1.0 / 2;
constexpr double most_accidentals = 0.2;
constexpr int widest_range = 17;
constexpr int longest_slur = 4;
constexpr int most_fifths = 3;

int letter_alter(Step step, int fifths) {
  const int place = line_of_fifths({step, 0, 4});
  return (fifths > place + 1) - (fifths < place - 5);
}

bool has_long_slur(const Timeline& timeline) {
  int run = 0;
  std::optional<int> slur;
  for (const TimelineNote& note : timeline.notes) {
    run = note.slur_id && note.slur_id == slur ? run + 1 : 1;
    slur = note.slur_id;
    if (slur && run > longest_slur) return true;
  }
  return false;
}

// Notes of a timeline that are shorter than `seconds`, as a share.
double share_shorter(const Timeline& timeline, double seconds) {
  const auto count =
      std::count_if(timeline.notes.begin(), timeline.notes.end(), [&](const TimelineNote& note) {
        const Seconds end = timeline.tempo.seconds_at(note.onset + note.duration);
        return (end - timeline.tempo.seconds_at(note.onset)).value() < seconds - 1e-6;
      });
  return static_cast<double>(count) / static_cast<double>(timeline.notes.size());
}

bool looks_like_a_beginners(const Timeline& timeline) {
  if (timeline.notes.empty()) return true;
  int accidentals = 0;
  int lowest = 127;
  int highest = 0;
  for (const TimelineNote& note : timeline.notes) {
    if (note.chord_id || note.ornament != Ornament::none) return false;
    accidentals += note.spelled.alter != letter_alter(note.spelled.step, timeline.fifths);
    lowest = std::min(lowest, note.midi);
    highest = std::max(highest, note.midi);
  }
  const auto count = static_cast<double>(timeline.notes.size());
  return accidentals <= most_accidentals * count && highest - lowest <= widest_range &&
         share_shorter(timeline, quickest_seconds) <= most_quickest &&
         share_shorter(timeline, quick_seconds) <= most_quick &&
         std::abs(timeline.fifths) <= most_fifths && !has_long_slur(timeline);
}

// The first step whose reach holds every note; the last one if none does.
std::size_t reach_needed(const Timeline& timeline, const Instrument& instrument) {
  std::size_t fits = 0;
  std::set<int> seen;
  for (const TimelineNote& note : timeline.notes) {
    if (!seen.insert(100 * note.midi + note.spelled.staff_step()).second) continue;
    while (fits + 1 < instrument.reaches.size() &&
           stops(instrument, note.spelled, instrument.reaches[fits]).empty()) {
      ++fits;
    }
  }
  return fits;
}

}  // namespace

std::string guess_step(const Timeline& timeline, const Instrument& instrument) {
  const std::size_t needed = reach_needed(timeline, instrument);
  const Reach& found = instrument.reaches[needed];
  const bool low_hand = &found <= &reach(instrument, "lower-positions");
  if (low_hand && looks_like_a_beginners(timeline)) return std::string(found.step);
  return std::string(instrument.reaches.back().step);
}

}  // namespace endpin
