#pragma once

#include <span>
#include <vector>

#include "align/path.h"

namespace endpin::listen {

/// An event's place, decided together with its neighbours.
struct Fine {
  int event = 0;
  bool left_out = false;  ///< likelier not played than played; times are then a guess
  double onset_s = 0;
  double sounds_until_s = 0;  ///< where the gap before the next begins, at most `next_s`
  bool another_tone = false;  ///< some other pitch explains its time better
  double next_s = 0;          ///< where the next begins, or playing left the score
  bool jumped_to = false;
  bool extra_before = false;
  double onset_share = 0;      ///< of the probability within 50 ms of onset_s, 0…1
  double onset_spread_s = 0;   ///< standard deviation of that probability around onset_s
  double left_out_margin = 0;  ///< log odds of being played against left out; large: surely played
};

/// The second pass: each run of the coarse path again on the 5 ms grid, inside a band around it,
/// all boundaries of a run decided together (exact semi-Markov search over pairs of neighbouring
/// onsets, with a gap or a tone put in between them), the tempo now known from the first pass.
/// Marginals are those of the best path through each place (max-product). Notes that the coarse
/// path left out are tried again. O(events · window²), a window of at most 0.7 s. Ends are not
/// sought: see find_ends.
std::vector<Fine> fine_path(const ScoreModel& score, const Observations& seen, const Path& coarse);

/// Fills `sounds_until_s` and `another_tone` of an event from its onset to `next_s`. `extra_after`:
/// playing that the score does not tell comes before the next event. O(frames).
void find_end(const ScoreModel& score, const Observations& seen, bool extra_after, Fine& fine);

/// The same of all of them; also where the same note begins again after the foreign tone. What
/// sounds on belongs to a note's end: `seen` is of all that sounds.
void find_ends(const ScoreModel& score, const Observations& seen, std::vector<Fine>& events);

/// Log of real over written duration around each placed event: a weighted median over neighbours.
std::vector<double> local_tempo(const ScoreModel& score, std::span<const Placed> run);

}  // namespace endpin::listen
