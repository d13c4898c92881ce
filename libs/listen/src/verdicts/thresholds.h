#pragma once

#include <string_view>

namespace endpin::listen {

/// From where on a deviation is worth a word, for one step. All on the side of silence.
struct Thresholds {
  /// One note's intonation. Listeners hear 25 cents in a melody (Larrouy-Maestri 2018); a note
  /// tuned to one or the other open string differs by 21.5 cents and is right both ways; published
  /// model recordings for beginners stray to 26 cents. 35, 28 and 22 by step are ours, clear of
  /// those.
  double note_cents = 35;
  /// The mean of several notes of one finger or string, where the others lie apart from it.
  double tendency_cents = 24;
  /// A displaced onset, share of a beat; 2.5 % can just be noticed (Friberg & Sundberg 1995), ours.
  double onset_beats = 0.22;
  double onset_s = 0.09;
  /// A separate stroke sounds 0.90–1.00 of its value, 0.60–0.85 with a little space (ours): below
  /// this it is short.
  double held = 0.58;
  /// A dotted note sounds a half of its value or a little less (C. P. E. Bach, Türk): from here on
  /// it is not separated.
  double separated = 0.9;
};

/// For "first-position" and other steps by name; unknown or empty: as for first position.
Thresholds thresholds_for(std::string_view step);

}  // namespace endpin::listen
