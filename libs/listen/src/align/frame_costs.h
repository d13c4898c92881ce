#pragma once

/// What single frames say, with hindsight (observations.cpp) and live (live_search.cpp): natural
/// logarithms and levels that both share.
namespace endpin::listen {

constexpr float evidence_per_salience = 14;  // from the spread of the salience of right notes
// What is neither a neighbour nor an octave may be another instrument or a string that rings on: it
// counts less against a note (ours, from simulated ensembles and rooms).
constexpr float strangers_share = 0.3F;
constexpr float worst_in_frame = -4;  // no single frame may rule a note out
constexpr float worst_in_silence = -2;
constexpr float held_cost = 0.3F;  // of a note that sounds on, against one that began
// A chord is broken, its lower notes left early: its strongest note counts most.
constexpr float strongest_share = 0.7F;
// A sound without pitch says little about which note it is: from here on it says something, and all
// so much above.
constexpr float clear_from = 0.08F, clear_over = 0.2F, unclear = -0.6F;
// Nobody plays that far below the playing, or that little above the floor where the floor does not
// reach into the playing (ours).
constexpr double quiet_below_playing_db = 36, least_below_playing_db = 12, quiet_above_floor_db = 5;

}  // namespace endpin::listen
