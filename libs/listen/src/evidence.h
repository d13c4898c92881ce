#pragma once

namespace endpin::listen {

/// The kinds of evidence and the rules that the hearing uses: all of them. What one of them adds is
/// measured by leaving it out; nothing that is shipped ever does.
struct Evidence {
  // Of a frame.
  bool long_window = true;  ///< the second window for low notes
  bool overtones = true;    ///< a comb has more teeth than its fundamental
  bool between = true;      ///< what lies between its harmonics speaks against a pitch
  bool support = true;      ///< a note need not stand alone; else salience decides
  bool ringing = true;      ///< a tone that dies away is known
  bool fading = true;       ///< partials that die away count for less where a note is placed
  bool swelling = true;     ///< a soft beginning is known
  // Of a beginning.
  bool pitch_change = true;  ///< where pitches cross a note may begin
  bool own_rise = true;      ///< the note's own comb grows
  bool rings_into = true;    ///< what rang before may lead for a while
  // Of the way through the score.
  bool durations = true;      ///< written lengths at the local tempo
  bool readings = true;       ///< a pair is read in other plain rhythms too
  bool jumps = true;          ///< playing may stop anywhere and go on elsewhere
  bool doubtful_runs = true;  ///< a run that is not proved is dropped
  // Of a verdict about a note.
  bool tone_end = true;      ///< its end is told by its own partials
  bool company = true;       ///< of others in the room is known
  bool own_partials = true;  ///< a note whose own partials stand is there
  bool neighbours = true;    ///< nothing is judged between notes that were not found
  bool may_sound = true;     ///< what may sound somewhere near is not missed
};

// The browser's module measures nothing and must stay small: there everything is in use always.
#ifdef __EMSCRIPTEN__
inline constexpr bool is_measured = false;
#else
inline constexpr bool is_measured = true;
#endif
inline constexpr Evidence all_evidence;

/// What is asked of `uses`, wherever something may be left out.
constexpr const Evidence& in_use(const Evidence& uses) { return is_measured ? uses : all_evidence; }

}  // namespace endpin::listen
