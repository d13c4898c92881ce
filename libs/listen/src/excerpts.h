#pragma once

#include <vector>

#include "own_sound.h"

namespace endpin::listen {

/// Parts of a recording joined to one, and the way back from its times.
class Excerpts {
 public:
  /// `parts` ascending, apart from each other.
  Excerpts(const OwnSound& recording, const std::vector<Span>& parts);
  Excerpts(const Excerpts&) = delete;  // what it gave out points into it
  Excerpts& operator=(const Excerpts&) = delete;

  OwnSound own() const;
  /// Times of `hearing`, which is one of `own()`, become those of the recording. What sounds across
  /// a join ends there, and a segment is split there: neither holds what was cut out.
  void put_back(Hearing& hearing) const;

 private:
  struct Part {
    double at_s = 0;     ///< in the excerpts
    double until_s = 0;  ///< and to where
    double shift_s = 0;  ///< from there to the recording
  };
  void cut(const Cover& whole);
  Part part_at(Seconds beginning) const;
  Part part_up_to(Seconds end) const;
  Seconds moved(Seconds beginning) const;
  void move_sound(Seconds& from, Seconds& to) const;
  void split(const Segment& segment, const Hearing& hearing, std::vector<Segment>& into) const;

  std::vector<float> samples_;
  double rate_ = 0, recorded_at_hz_ = 0;
  Seconds length_;  ///< of the recording
  std::vector<Part> parts_;
  std::optional<Cover> cover_;
};

/// What of the recording is outside of `spans`, which may overlap.
std::vector<Span> outside(std::vector<Span> spans, Seconds length);
/// `spans` with `air` before and after, joined where they touch, without what is in `others`.
std::vector<Span> with_air(const std::vector<Span>& spans, Seconds air,
                           const std::vector<Span>& others, Seconds length);

}  // namespace endpin::listen
