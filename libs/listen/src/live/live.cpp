#include "endpin/listen/live.h"

#include <cmath>

#include "endpin/listen/listen.h"

#include "align/score_model.h"
#include "live/live_search.h"

namespace endpin {

using namespace listen;

struct LiveFollower::State {
  Timeline timeline;
  ScoreModel score;
  LiveFeatures features;
  LiveSearch search;
  LivePlace place;

  State(const Timeline& t, double rate_hz, const LiveOptions& options)
      : timeline(t),
        score(score_model(std::span(&timeline, 1), options_of(options))),
        features(rate_hz, score.events.empty() ? 60 : score.lowest_midi,
                 score.events.empty() ? 60 : score.highest_midi, shift_of(options)),
        search(score) {}

  static HearOptions options_of(const LiveOptions& options) {
    HearOptions hear;
    hear.tempo_hint = options.tempo_hint;
    return hear;
  }
  static std::optional<double> shift_of(const LiveOptions& options) {
    if (!options.a4) return std::nullopt;
    return interval(standard_a4, *options.a4).value();
  }

  void tell(double heard_s) {
    const LiveSearch::Best best = search.best();
    place = {};
    place.heard = Seconds(heard_s);
    place.confidence = best.share;
    if (best.event < 0) return;
    const Event& e = score.events[static_cast<std::size_t>(best.event)];
    place.index = e.notes.front();
    place.onset = Seconds(best.onset_s);
    place.jumps = best.jumps;
    if (best.tempo_known) {
      const Beats at = timeline.notes[static_cast<std::size_t>(place.index)].onset;
      const double written = timeline.tempo.tempo_at(at).value();
      place.quarters_a_minute = written / std::exp(static_cast<double>(best.tempo));
    }
  }
};

LiveFollower::LiveFollower(const Timeline& timeline, double sample_rate_hz,
                           const LiveOptions& options)
    : state_(std::make_unique<State>(timeline, sample_rate_hz, options)) {}
LiveFollower::~LiveFollower() = default;
LiveFollower::LiveFollower(LiveFollower&&) noexcept = default;
LiveFollower& LiveFollower::operator=(LiveFollower&&) noexcept = default;

void LiveFollower::take(std::span<const float> samples) {
  State& s = *state_;
  if (s.score.events.empty()) return;
  bool stuck = false;
  while (!samples.empty() && !stuck) {
    const std::size_t taken = s.features.add(samples);
    samples = samples.subspan(taken);
    LiveFrame frame;
    stuck = taken == 0;
    while (s.features.next(frame)) {
      s.search.take(frame, s.features);
      s.tell(frame.time_s);
      stuck = false;
    }
  }
}

const LivePlace& LiveFollower::place() const { return state_->place; }

}  // namespace endpin
