#pragma once

#include <optional>
#include <span>
#include <vector>

#include "align/observations.h"

namespace endpin::listen {

/// What sounded between two times in a written note's place.
struct Tone {
  std::optional<Cents> intonation;   ///< from the written pitch at the reference
  std::optional<Cents> uncertainty;  ///< standard error, 1 cent at least
  std::optional<Vibrato> vibrato;
  double tracked = 0;    ///< share of the settled frames in which its partials are there
  double settled_s = 0;  ///< length that was judged
  double present = 0;    ///< share of the settled frames in which the written pitch is there
  double evidence = -4;  ///< mean log likelihood of the written pitch against the best rival
  /// The same where others may play as well: mean of Observations::stands.
  double support = -4;
  /// Share of the settled frames in which partials of the written pitch stand clear that are
  /// neither the rival's nor those of notes nearby: what another instrument cannot take away.
  /// Where no partial is its own, all frames count.
  double own_partials = 0;
  int rival = -1;          ///< MIDI of the other pitch that is strongest for longest; -1: none
  double rival_share = 0;  ///< of the settled frames
  double rival_s = 0;      ///< its longest unbroken stretch, attack and end counted
  /// Where the rival itself stands, from its own place at the reference; measured only of one a
  /// semitone away, which shares no partial with the written note.
  std::optional<Cents> rival_intonation;
  double rival_lead = 0;  ///< its salience above the written pitch's, mean
  /// Of two pitches an octave apart, the written one and the rival: decibels by which the lower
  /// one's odd partials lie below those around them. None are there where the upper one sounds;
  /// where the lower does, one at least stands out. The value that four frames of five exceed if
  /// the rival is above, that four of five keep below if it is below the written pitch.
  double odd_missing_db = 0;
};

/// Fundamental of `midi` in one frame, cents from equal temperament `shift_cents` above 440 Hz: the
/// weighted middle of its partials' places divided by their numbers; partials that `others` share
/// are left out where enough remain.
std::optional<double> frame_deviation(std::span<const SmallPartial> partials, int midi,
                                      double shift_cents, std::span<const int> others);

/// Measures `midi` of `event` between two times; `nearby`: pitches of the notes around it, which
/// may ring into it. O(frames · partials).
Tone measure_tone(const Observations& seen, const Event& event, int midi, double from_s,
                  double to_s, double shift_cents, std::span<const int> nearby = {});

/// Rate and extent of a vibrato in a track of deviations `step_s` apart; the smoothing by the
/// analysis window is taken out. Empty: none, or shorter than two cycles.
std::optional<Vibrato> find_vibrato(std::span<const double> cents, double step_s);

}  // namespace endpin::listen
