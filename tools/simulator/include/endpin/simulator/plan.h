#pragma once

#include <optional>
#include <vector>

#include "endpin/hearing/hearing.h"
#include "endpin/timeline/timeline.h"

namespace endpin::simulator {

/// One note as a player means to play it. Plans are edited to put faults in; `perform` gives them
/// times. Places are quarters of the plan, which runs on where the player stops or goes back.
struct Intent {
  int index = -1;        ///< the timeline note that it stands for; -1: none, an extra
  bool attempt = false;  ///< played again after a restart, which is then the one that counts
  double at = 0;         ///< quarters, ascending
  double length = 1;     ///< quarters
  int midi = 60;
  double cents = 0;                ///< off on purpose, on top of the player's own error
  bool cents_are_all = false;      ///< … and not on top of it: `cents` is what sounds
  std::optional<double> hold;      ///< share of its length that sounds; empty: as the player does
  bool joined = false;             ///< goes on in the bow stroke of the intent before it
  bool held = false;               ///< sounds on while others begin, for all of its length
  double delay_s = 0;              ///< moves this onset alone
  double wait_s = 0;               ///< time put in before it, moving all that follows
  double pace = 1;                 ///< tempo factor from here to the next
  double scratch = 0;              ///< 0 clean … 1 a bow that crushes the tone
  std::optional<double> attack_s;  ///< from silence to full tone; empty: as the player does
  int string = 1;                  ///< 1 is the highest
  int finger = 0;                  ///< 0 open
  bool plucked = false;
  std::optional<int> touched;  ///< MIDI number of an open string that sounds along for a moment
};

/// What ought to be said about a take.
struct ExpectedFinding {
  FindingKind kind = FindingKind::missed;
  std::vector<int> notes;  ///< timeline indices
};

/// Going back: the intent at `intent` is the first after it.
struct PlannedRestart {
  std::size_t intent = 0;
  int from_index = 0;  ///< the last note before it
  int to_index = 0;    ///< where playing goes on
};

struct Plan {
  std::vector<Intent> intents;
  std::vector<PlannedRestart> restarts;
  std::vector<ExpectedFinding> findings;   ///< ought to come out
  std::vector<ExpectedFinding> tolerated;  ///< true as well, need not be said
  double tempo_factor = 1;                 ///< of the whole take, against the written tempo
  double a4_cents = 0;                     ///< of the whole take
};

/// The timeline as written: slurred notes joined, everything else as it stands.
Plan plan_of(const Timeline& timeline);

}  // namespace endpin::simulator
