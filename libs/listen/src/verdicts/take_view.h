#pragma once

#include <optional>
#include <vector>

#include "endpin/hearing/hearing.h"
#include "endpin/listen/findings.h"
#include "endpin/timeline/timeline.h"

#include "verdicts/thresholds.h"

namespace endpin::listen {

/// One interval between neighbouring onsets that were both heard.
struct Stride {
  int from = 0, to = 0;  ///< note indices
  double written_s = 0;  ///< at the written tempo
  double heard_s = 0;
  double ratio = 1;  ///< local real over written time, from the intervals around, not this one
  double excess_s() const { return heard_s - ratio * written_s; }
};

/// A hearing and its timeline side by side, as the verdicts need them.
class TakeView {
 public:
  TakeView(const Hearing& hearing, const Timeline& timeline, const FindingOptions& options,
           int item);

  const Hearing& hearing() const { return hearing_; }
  /// This item's.
  const std::vector<ExtraNote>& extra() const { return extra_; }
  const std::vector<Restart>& restarts() const { return restarts_; }
  bool went_back_between(int from, int to) const;  ///< two notes that were heard
  const Timeline& timeline() const { return timeline_; }
  const Thresholds& limits() const { return limits_; }
  int size() const { return static_cast<int>(notes_.size()); }
  const NoteHearing& note(int index) const { return *notes_[static_cast<std::size_t>(index)]; }
  const TimelineNote& written(int index) const {
    return timeline_.notes[static_cast<std::size_t>(index)];
  }
  bool heard(int index) const {
    return index >= 0 && index < size() && note(index).state == NoteState::heard &&
           note(index).heard.has_value();
  }
  const HeardNote& sound(int index) const { return *note(index).heard; }
  /// No other note begins with it or sounds into it.
  bool alone(int index) const { return alone_[static_cast<std::size_t>(index)]; }
  /// Beats a minute that were asked for, by the options or by the score; empty: by none.
  std::optional<double> asked_bpm() const;
  bool slurred_to(int index) const;  ///< goes on in the bow of the note before
  double beat_s(int index) const;    ///< a beat at the local tempo
  /// Its length is known, and is the player's to choose.
  bool length_is_judged(int index) const;
  /// Something proves its beginning: a stroke, a dip, or another pitch in the same bow.
  bool begins_clearly(int index) const;

  /// Neighbouring onsets; broken where a note between was not heard or playing went back.
  const std::vector<Stride>& strides() const { return strides_; }
  /// The step that ends, or begins, at a note.
  const Stride* stride_to(int index) const;
  const Stride* stride_from(int index) const;
  /// Robust deviation of the steps' excess: how freely this player treats time.
  double freedom_s() const { return freedom_s_; }
  /// Middle of real over written time, of all steps.
  double pace() const { return pace_; }

  /// A finding about these notes with time, bars and an id.
  Finding about(FindingKind kind, std::vector<int> notes, std::string key) const;

 private:
  void find_alone();
  void find_strides();
  void find_ratios();

  const Hearing& hearing_;
  const Timeline& timeline_;
  Thresholds limits_;
  std::optional<Bpm> asked_;
  std::vector<const NoteHearing*> notes_;
  std::vector<ExtraNote> extra_;
  std::vector<Restart> restarts_;
  std::vector<bool> alone_;
  std::vector<Stride> strides_;
  double freedom_s_ = 0, pace_ = 1;
};

using Findings = std::vector<Finding>;
void add_note_findings(const TakeView& take, Findings& out);
void add_pitch_findings(const TakeView& take, Findings& out);
void add_time_findings(const TakeView& take, Findings& out);
void add_length_findings(const TakeView& take, Findings& out);
void add_slur_findings(const TakeView& take, Findings& out);
/// Good ones, where no work is to be done. `out` holds the findings to work on.
void add_good_findings(const TakeView& take, Findings& out);

}  // namespace endpin::listen
