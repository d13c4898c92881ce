#pragma once

#include <vector>

#include "align/score_model.h"
#include "align/token.h"
#include "live/live_features.h"

namespace endpin::listen {

/// The coarse pass's model frame by frame: one hypothesis for every event, each with its own time
/// of beginning and its own tempo; the next event, the one after that, and one hub over which
/// playing leaves and enters the score. O(events) a frame; allocates nothing after construction.
///
/// Tempo, what frames say (frame_costs.h), and the costs of gaps, of what is skipped, of leaving
/// and of entering at the beginning, after a rest and anywhere are those of `hear`. What differs is
/// ours:
/// - Going on at a bar, or once more, costs 4 and not 3: a jump that what follows disproves can't
///   be taken back, the cursor has moved. The bar that was just played costs no less.
/// - A note goes on, is followed, or the next but one is: there are no extra notes, no other tones
///   and no repeats left out. A place that is overdue grows dearer instead.
/// - Notes are weighed by salience, of which an octave counts whole, as in `hear` without support:
///   support, which hears a student among others, has not been tried live.
/// - Ringing on, swelling and noise are not told from playing: that takes what comes after.
/// - The long window is taken from G2 down and not from G3: it makes the place known 40 ms later.
class LiveSearch {
 public:
  explicit LiveSearch(const ScoreModel& score);

  void take(const LiveFrame& frame, const LiveFeatures& features);

  struct Best {
    int event = -1;  ///< -1: outside the score
    double onset_s = 0;
    double share = 0;  ///< of what is likely, within one event
    int jumps = 0;
    float tempo = 0;  ///< log of real over written duration
    bool tempo_known = false;
  };
  Best best() const;

 private:
  struct Here {
    Token token;
    double since_s = 0;  ///< when its event began
    int jumps = 0;
  };
  void listen(const LiveFrame& frame, const LiveFeatures& features);
  float playing(const Event& e, const LiveFrame& frame, const LiveFeatures& features) const;
  void stay(std::size_t event, const LiveFrame& frame);
  void go_on(std::size_t event, const LiveFrame& frame);
  void enter(std::size_t event, const LiveFrame& frame);
  void leave(const LiveFrame& frame);
  void keep_in_range();

  const std::vector<Event>& events_;
  const std::vector<int>& examples_;
  std::vector<Here> now_, next_;
  std::vector<float> playing_;  // [pitch set]
  float gap_ = 0, anything_ = 0;
  Here hub_;
  bool played_ = false;
};

}  // namespace endpin::listen
