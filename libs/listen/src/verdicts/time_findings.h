#pragma once

#include <set>

#include "verdicts/take_view.h"

namespace endpin::listen {

/// Collects what is said of rhythm and tempo: the first that explains a note's time is the one
/// that is said, so that their order counts.
class TimeVerdicts {
 public:
  TimeVerdicts(const TakeView& take, Findings& out);

  const TakeView& take() const { return take_; }
  /// A finding explains this note's time already.
  bool said(int index) const { return said_.contains(index); }
  /// A section begins within the step: a bar that some repeat or ending leads to.
  bool begins_section(const Stride& step) const;
  /// Says it; the finding explains its notes' times from now on.
  void say(Finding finding, double confidence) {
    said_.insert(finding.notes.begin(), finding.notes.end());
    finding.confidence = confidence;
    out_.push_back(std::move(finding));
  }

 private:
  const TakeView& take_;
  Findings& out_;
  std::set<int> said_;
  std::vector<Beats> sections_;  ///< where they begin, ascending
};

/// The time of the note that a step leads to is the player's: no finding explains it, and no
/// fermata, grace note or repeat makes it free.
bool is_the_players_own(const TimeVerdicts& verdicts, const Stride& step);
/// It is, and the note begins clearly: it may be judged by itself.
bool may_be_judged(const TimeVerdicts& verdicts, const Stride& step);
void say_early_or_late(TimeVerdicts& verdicts, int index, double by_s);

/// A bar played in the rhythm of another with the same notes.
void add_other_rhythm(TimeVerdicts& verdicts);
/// A few bars, much faster or slower than what is around them.
void add_other_tempo(TimeVerdicts& verdicts);
/// Runs of two equal short notes to a beat, played long and short.
void add_uneven(TimeVerdicts& verdicts);
/// Two notes that share their time as 1 : 1 where it is written 3 : 1, or the other way round.
void add_pair_rhythm(TimeVerdicts& verdicts);
/// A wait, or a note early or late.
void add_displaced(TimeVerdicts& verdicts);
/// Tempo that went up or down from beginning to end.
void add_drift(TimeVerdicts& verdicts);

}  // namespace endpin::listen
