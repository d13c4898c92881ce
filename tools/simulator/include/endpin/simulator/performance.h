#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "endpin/base/units.h"
#include "endpin/simulator/plan.h"

namespace endpin::simulator {

/// How somebody plays: the spread of what they mean to do.
struct Player {
  double tempo_wander = 0.015;    ///< deviation of the slow drift of tempo, as a share
  double onset_jitter_s = 0.008;  ///< deviation of each onset
  double finger_cents = 6;        ///< deviation of each stopped note, kept within twice that
  double string_cents = 1;        ///< deviation of each open string's tuning
  double hold = 0.95;             ///< share of its length that a separate stroke sounds
  double hold_spread = 0.02;
  double staccato_hold = 0.5;
  double attack_s = 0.03;  ///< from silence to full tone
  double attack_spread_s = 0.01;
  double vibrato_chance = 0.7;  ///< of a stopped note long enough for it
  double vibrato_cents = 25;    ///< peak to peak
  double level_spread_db = 1.5;
  double bow_noise_db = -38;  ///< against the tone
  double scratch = 0.0;
  double rubato = 0;        ///< share of the tempo given and taken within a phrase of four bars;
                            ///< its last quarter loses twice, the piece's end four times as much
  double phrase_db = 0;     ///< how much louder the middle of a phrase is
  double swell_db = 0;      ///< how much a long note swells or fades at most
  double glide_s = 0.036;   ///< how long the finger's way takes in a slur
  double slide_chance = 0;  ///< of a leap in a slur: heard as a slide of 0.08 to 0.2 s
  double smooth_turns = 0;  ///< chance that the bow turns without leaving the string silent
};
Player professional();
/// Who sings: freely in time, long bows that turn unheard, slides, a wide vibrato on every note.
Player singer();
Player good_student();
/// Uncertain but right: what beginners do without being wrong.
Player beginner();

struct PlayedVibrato {
  double rate_hz = 5.5;
  double extent_cents = 0;  ///< peak to peak; 0: none
  double phase = 0;         ///< radians at the onset
};

/// One note that sounded.
struct PlayedNote {
  int index = -1;
  bool attempt = false;
  Seconds onset;   ///< the tone rises through a tenth of its level; in a slur the middle of the way
  Seconds offset;  ///< the bow leaves or turns
  int midi = 60;
  double cents = 0;  ///< of its mean, from `midi` in equal temperament at the take's A4
  double level_db = 0;
  double attack_s = 0.03;
  bool joined = false;
  double turn_db = 0;  ///< how far the tone dips where the bow turns without a silence; 0: it stops
  double glide_s = 0.036;  ///< the way of the pitch from the note before, if the tone goes on
  double swell_db = 0;     ///< from its beginning to its end, less than 0: it fades
  double scratch = 0;
  int string = 1;
  bool open = false;
  bool plucked = false;
  PlayedVibrato vibrato;
  std::optional<int> touched;
};

/// What is true of one note of the timeline.
struct NoteTruth {
  NoteState state = NoteState::not_reached;
  std::optional<std::size_t> played;  ///< place in Performance::notes
};

struct PlayedRestart {
  Seconds time;
  int from_index = 0;
  int to_index = 0;
};

struct Performance {
  std::vector<PlayedNote> notes;  ///< ascending by onset
  std::vector<NoteTruth> truth;   ///< one a timeline note
  std::vector<PlayedRestart> restarts;
  std::vector<ExpectedFinding> findings;
  std::vector<ExpectedFinding> tolerated;
  Hertz a4 = standard_a4;
  Seconds length;
  double bow_noise_db = -38;
};

/// Plays `plan` as `player` would. Same seed, same performance. The first note begins after
/// `lead_in`. REQUIRES: the plan has intents.
Performance perform(const Timeline& timeline, const Plan& plan, const Player& player,
                    std::uint64_t seed, Seconds lead_in = Seconds(0.6));

}  // namespace endpin::simulator
