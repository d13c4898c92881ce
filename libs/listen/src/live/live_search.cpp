#include "live/live_search.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "align/frame_costs.h"
#include "align/frame_sums.h"

namespace endpin::listen {
namespace {

// See LiveSearch for which of them are the coarse path's.
constexpr float gap_cost = 1.0F, skip_cost = 6.0F;
constexpr float leave_cost = 8.0F, leave_after_last_cost = 0.5F;
constexpr float enter_first_cost = 1.0F, enter_bar_cost = 4.0F, enter_phrase_cost = 6.0F,
                enter_anywhere_cost = 8.5F, enter_again_cost = 4.0F;
constexpr float least_to_enter = -1.6F, clear_salience = 0.2F;
constexpr double shortest_note_s = 0.05;
// A note that should have ended long ago: from here on each frame costs, so that the place does not
// stand still while something else is played (ours).
constexpr float overdue_from = 1.6F, overdue_cost = 0.04F;
constexpr float lowest_score = -1e30F, far_behind = 60;

bool alive(float score) { return score > lowest_score; }

float enter_cost(const Event& e) {
  return e.first        ? enter_first_cost
         : e.bar_start  ? enter_bar_cost
         : e.after_rest ? enter_phrase_cost
                        : enter_anywhere_cost;
}

float onset_score(const Event& e, float strength) {
  return e.slurred || e.ornamented ? std::max(-0.7F, 0.6F * strength) : strength;
}

}  // namespace

LiveSearch::LiveSearch(const ScoreModel& score)
    : events_(score.events),
      examples_(score.pitch_set_examples),
      now_(events_.size()),
      next_(events_.size()),
      playing_(examples_.size()) {
  hub_.token.score = 0;
}

float LiveSearch::playing(const Event& e, const LiveFrame& frame,
                          const LiveFeatures& features) const {
  if (frame.quiet) return worst_in_silence;
  float best = worst_in_frame, sum = 0;
  const auto one = [&](int midi) {
    const float own = features.salience(midi);
    float behind = strangers_share * (frame.best.salience - own);
    for (const int away : {-12, -2, -1, 1, 2, 12}) {
      behind = std::max(behind, features.salience(midi + away) - own);
    }
    return std::max(worst_in_frame, -evidence_per_salience * behind);
  };
  for (const int p : e.pitches) {
    const float v = one(p);
    best = std::max(best, v), sum += v;
  }
  for (const int p : e.held) best = std::max(best, one(p) - held_cost);
  const float mean = sum / static_cast<float>(e.pitches.size());
  const float blend = e.pitches.size() > 1 || !e.held.empty() ? strongest_share : 0.0F;
  const float value = e.ornamented ? best : blend * best + (1 - blend) * mean;
  const float clear = std::clamp((frame.best.salience - clear_from) / clear_over, 0.0F, 1.0F);
  return clear * value + unclear * (1 - clear);
}

void LiveSearch::listen(const LiveFrame& frame, const LiveFeatures& features) {
  for (std::size_t s = 0; s < examples_.size(); ++s) {
    playing_[s] = playing(events_[static_cast<std::size_t>(examples_[s])], frame, features);
  }
  const float clear = std::clamp((frame.best.salience - 0.15F) / 0.25F, 0.0F, 1.0F);
  gap_ = frame.quiet ? 0.0F : -0.5F - 1.5F * clear;
  anything_ = frame.quiet ? -0.3F : -1.0F;
}

void LiveSearch::stay(std::size_t k, const LiveFrame& frame) {
  Here h = now_[k];
  if (!alive(h.token.score)) return;
  const Event& e = events_[k];
  const bool rest = e.sounding_seconds < 0.95 * e.seconds || e.plucked || e.last || e.fermata;
  // Without looking back the way into a gap is not a state of its own: a frame of it costs a
  // little.
  const float gap = gap_ - (rest ? 0.0F : 0.1F * gap_cost);
  h.token.score += frame_weight * std::max(playing_[static_cast<std::size_t>(e.pitch_set)], gap);
  const double expected = e.seconds * std::exp(static_cast<double>(h.token.tempo));
  const bool overdue = frame.time_s - h.since_s > static_cast<double>(overdue_from) * expected;
  if (overdue && !e.last && !e.fermata) h.token.score -= overdue_cost;
  if (h.token.score > next_[k].token.score) next_[k] = h;
}

// To the next event, or over it to the one after that.
void LiveSearch::go_on(std::size_t k, const LiveFrame& frame) {
  const Here& h = now_[k];
  const double seconds = frame.time_s - h.since_s;
  if (!alive(h.token.score) || seconds < shortest_note_s) return;
  double written = 0;
  for (std::size_t ahead = 1; ahead <= 2 && k + ahead < events_.size(); ++ahead) {
    const Event& left = events_[k + ahead - 1];
    const Event& e = events_[k + ahead];
    if (left.last || !e.open_to_play) return;
    written += left.seconds;
    const Duration lasted =
        duration_of(h.token, static_cast<float>(seconds), static_cast<float>(written));
    Here then{after_duration(h.token, lasted), frame.time_s, h.jumps};
    then.token.score += onset_score(e, frame.onset) - (ahead == 2 ? skip_cost : 0.0F) +
                        frame_weight * playing_[static_cast<std::size_t>(e.pitch_set)];
    if (then.token.score > next_[k + ahead].token.score) next_[k + ahead] = then;
  }
}

void LiveSearch::enter(std::size_t k, const LiveFrame& frame) {
  const Event& e = events_[k];
  if (!e.open_to_play || frame.quiet || frame.best.salience < clear_salience) return;
  if (playing_[static_cast<std::size_t>(e.pitch_set)] < least_to_enter) return;
  if (played_ && frame.onset < 0.3F) return;  // going on needs a beginning
  const float cost = played_ ? std::max(enter_cost(e), enter_again_cost) : enter_cost(e);
  Here h = hub_;
  h.token.score +=
      frame.onset - cost + frame_weight * playing_[static_cast<std::size_t>(e.pitch_set)];
  if (h.token.variance >= 0) h.token.variance += 0.03F;
  h.since_s = frame.time_s;
  if (hub_.since_s > 0) ++h.jumps;
  if (h.token.score > next_[k].token.score) next_[k] = h;
}

void LiveSearch::leave(const LiveFrame& frame) {
  hub_.token.score += frame_weight * anything_;
  for (std::size_t k = 0; k < events_.size(); ++k) {
    const Here& h = now_[k];
    if (!alive(h.token.score)) continue;
    const float score = h.token.score - (events_[k].last ? leave_after_last_cost : leave_cost);
    if (score <= hub_.token.score) continue;
    hub_ = h;
    hub_.token.score = score;
    hub_.since_s = frame.time_s;
  }
}

// Scores fall for ever: the best is set to 0, what is far behind is given up.
void LiveSearch::keep_in_range() {
  float best = hub_.token.score;
  for (const Here& h : now_) best = std::max(best, h.token.score);
  hub_.token.score = std::max(hub_.token.score - best, -far_behind);
  for (Here& h : now_) {
    h.token.score -= best;
    if (h.token.score < -far_behind) h = {};
    if (h.token.score > -1) played_ = true;
  }
}

void LiveSearch::take(const LiveFrame& frame, const LiveFeatures& features) {
  listen(frame, features);
  std::fill(next_.begin(), next_.end(), Here{});
  for (std::size_t k = 0; k < events_.size(); ++k) stay(k, frame);
  for (std::size_t k = 0; k < events_.size(); ++k) go_on(k, frame);
  for (std::size_t k = 0; k < events_.size(); ++k) enter(k, frame);
  leave(frame);
  std::swap(now_, next_);
  keep_in_range();
}

LiveSearch::Best LiveSearch::best() const {
  Best found;
  float top = hub_.token.score;
  for (std::size_t k = 0; k < now_.size(); ++k) {
    if (now_[k].token.score <= top) continue;
    top = now_[k].token.score;
    found.event = static_cast<int>(k);
  }
  double all = std::exp(static_cast<double>(hub_.token.score - top));
  double near = found.event < 0 ? all : 0;
  for (std::size_t k = 0; k < now_.size(); ++k) {
    const double share = std::exp(static_cast<double>(now_[k].token.score - top));
    all += share;
    if (found.event >= 0 && std::abs(static_cast<int>(k) - found.event) <= 1) near += share;
  }
  found.share = near / all;
  if (found.event < 0) return found;
  const Here& h = now_[static_cast<std::size_t>(found.event)];
  found.onset_s = h.since_s;
  found.jumps = h.jumps;
  found.tempo = h.token.tempo;
  found.tempo_known = h.token.variance >= 0;
  return found;
}

}  // namespace endpin::listen
