#include <algorithm>
#include <cmath>
#include <limits>

#include "align/frame_sums.h"
#include "align/path.h"
#include "align/token.h"
#include "align/token_table.h"
#include "align/way_back.h"

namespace endpin::listen {
namespace {

constexpr float beam = 20;  // more than the dearest jump
// Costs, natural logarithms, ours: a fault has to explain more than a handful of frames.
constexpr float gap_cost = 1.0F, other_cost = 5.0F, skip_cost = 6.0F, extra_cost = 6.0F;
// What is strange and goes on for long is rather a new start than extra notes.
constexpr float extra_cost_a_second = 5.0F, again_cost = 1.5F;
constexpr float leave_cost = 8.0F, leave_after_last_cost = 0.5F;
constexpr float enter_first_cost = 1.0F, enter_bar_cost = 3.0F, enter_phrase_cost = 6.0F,
                enter_anywhere_cost = 8.5F, enter_again_cost = 3.0F;
// Who stops goes back to where this bar began, or the one before, more often than anywhere else.
constexpr float enter_near_bar_cost = 1.5F;
constexpr int near_events = 16;
constexpr float leave_out_repeat_cost = 3.0F;
// In a long score every pitch stands at hundreds of places, and playing may go on at each of them:
// of the places where a note may begin at one moment the likeliest are followed, as many as a piece
// of four minutes has in the mean. So the cost of a second does not grow with the score.
constexpr std::size_t most_followed = 96;
constexpr double longest_note_s = 20, shortest_reach_s = 0.45;
constexpr float none = -std::numeric_limits<float>::infinity();

struct Hub {
  float score = none;
  float tempo = 0, variance = -1;
  int record = -1;
  int left_at = -1;
};

class Search {
 public:
  Search(const ScoreModel& score, const Observations& seen,
         const std::vector<Candidate>& candidates)
      : events_(score.events),
        at_(candidates),
        given_(seen.uses()),
        gap_(candidates, seen.frames(), [&](std::size_t f) { return seen.gap(f); }),
        other_(candidates, seen.frames(), [&](std::size_t f) { return seen.other(f); }),
        anything_(candidates, seen.frames(), [&](std::size_t f) { return seen.anything(f); }) {
    for (const int example : score.pitch_set_examples) {
      const Event& e = events_[static_cast<std::size_t>(example)];
      playing_.emplace_back(candidates, seen.frames(),
                            [&](std::size_t f) { return seen.playing(e, f); });
    }
    for (const Event& e : events_) {
      enter_cost_.push_back(e.first        ? enter_first_cost
                            : e.bar_start  ? enter_bar_cost
                            : e.after_rest ? enter_phrase_cost
                                           : enter_anywhere_cost);
    }
    events_of_.resize(score.pitch_set_examples.size());
    for (std::size_t k = 0; k < events_.size(); ++k) {
      if (events_[k].open_to_play) {
        events_of_[static_cast<std::size_t>(events_[k].pitch_set)].push_back(static_cast<int>(k));
      }
    }
    slots_.assign(slot_count, Slot(events_.size()));
    hubs_.resize(at_.size());
  }

  Path run(const Progress& progress) {
    hubs_[0].score = 0;
    for (std::size_t c = 0; c < at_.size(); ++c) {
      if (progress && c % 500 == 0) {
        progress(static_cast<double>(c) / static_cast<double>(at_.size()));
      }
      step(c);
      if (ways_.is_crowded()) forget_dead_ways(c);
    }
    return trace();
  }

 private:
  static constexpr std::size_t slot_count = 512;  // candidates that a note can reach over

  struct Slot {
    explicit Slot(std::size_t events) : tokens(events), extras(events) {}
    TokenTable tokens, extras;
    float best = none;  // of what was offered so far
  };

  Slot& slot(std::size_t c) { return slots_[c % slot_count]; }

  void step(std::size_t c) {
    Slot& now = slot(c);
    float best = hubs_[c].score;
    for (const auto& entry : now.tokens.entries()) best = std::max(best, entry.token.score);
    stay_in_hub(c);
    if (c + 1 < at_.size()) {
      enter_from_hub(c, best);
      choose_followed(now.tokens, best - beam);
      for (const auto& [event, token] : followed_) extend(c, event, token);
      for (const auto& [event, token] : now.extras.entries()) {
        if (token.score >= best - beam) extend_extra(c, event, token);
      }
    } else {
      best_at_end_ = hubs_[c];
    }
    now.tokens.clear();
    now.extras.clear();
    now.best = none;
  }

  // The likeliest tokens, none below `least`; of equal ones those that came first.
  void choose_followed(TokenTable& tokens, float least) {
    followed_.clear();
    for (const auto& entry : tokens.entries()) {
      if (entry.token.score >= least) followed_.push_back(entry);
    }
    if (followed_.size() <= most_followed) return;
    std::stable_sort(followed_.begin(), followed_.end(),
                     [](const auto& a, const auto& b) { return a.token.score > b.token.score; });
    followed_.resize(most_followed, followed_.front());
  }

  void forget_dead_ways(std::size_t done) {
    std::vector<int*> ends;
    for (std::size_t c = done + 1; c < std::min(at_.size(), done + slot_count); ++c) {
      Slot& s = slot(c);
      for (auto& entry : s.tokens.entries()) ends.push_back(&entry.token.before);
      for (auto& entry : s.extras.entries()) ends.push_back(&entry.token.before);
      ends.push_back(&hubs_[c].record);
    }
    ways_.keep_ways_to(ends);
  }

  void stay_in_hub(std::size_t c) {
    if (c + 1 >= at_.size()) return;
    Hub stay = hubs_[c];
    stay.score += anything_[c + 1] - anything_[c];
    if (stay.score > hubs_[c + 1].score) hubs_[c + 1] = stay;
  }

  float onset(const Event& e, std::size_t c) const {
    const float strength = at_[c].strength;
    // Inside a slur and after an ornament's small notes a beginning may be faint.
    return e.slurred || e.ornamented ? std::max(-0.7F, 0.6F * strength) : strength;
  }

  void enter_from_hub(std::size_t c, float best) {
    const Hub& hub = hubs_[c];
    if (hub.score < best - beam) return;
    std::size_t ahead = c + 1;
    while (ahead + 1 < at_.size() && at_[ahead].time_s < at_[c].time_s + 0.2F) ++ahead;
    const float frames = (at_[ahead].time_s - at_[c].time_s) * 100 * frame_weight;
    const bool again = hub.record >= 0;
    if (again && at_[c].strength < 0.3F) return;  // going on needs a beginning
    for (std::size_t set = 0; set < events_of_.size(); ++set) {
      if (playing_[set][ahead] - playing_[set][c] < -1.6F * frames) continue;
      for (const int event : events_of_[set]) {
        const std::size_t k = static_cast<std::size_t>(event);
        const float cost = again ? again_cost_of(hub, k) : enter_cost_[k];
        const float score = hub.score - cost + at_[c].strength;
        if (score >= best - beam) enter(c, k, score);
      }
    }
  }

  void enter(std::size_t c, std::size_t k, float score) {
    const Hub& hub = hubs_[c];
    TokenTable& tokens = slot(c).tokens;
    const Token* old = tokens.find(k);
    if (old != nullptr && old->score >= score) return;
    Token t{score, hub.tempo, hub.variance, hub.record,
            hub.left_at < 0 ? static_cast<int>(c) : hub.left_at};
    if (t.variance >= 0) t.variance += 0.03F;
    tokens.put(k, t);
  }

  // Of entering at an event after playing was left elsewhere.
  float again_cost_of(const Hub& hub, std::size_t k) const {
    const int left = ways_[hub.record].event, back = left - static_cast<int>(k);
    const bool near = back >= 0 && back <= near_events && events_[k].bar_start;
    // Who played the last note stopped because it was the last.
    if (!near || events_[static_cast<std::size_t>(left)].last)
      return std::max(enter_cost_[k], enter_again_cost);
    return enter_near_bar_cost;
  }

  void offer(std::size_t c, std::size_t k, const Token& from, float score, bool skipped,
             bool extra) {
    Slot& then = slot(c);
    const Token* old = then.tokens.find(k);
    if ((old != nullptr && old->score >= score) || score < then.best - beam) return;
    then.best = std::max(then.best, score);
    then.tokens.put(k, {score, from.tempo, from.variance, from.before, -1, skipped, extra});
  }

  float reach(const Token& t, const Event& e) const {
    if (e.last || e.fermata) return static_cast<float>(longest_note_s);
    const double factor = t.variance < 0 ? 2.6 : 3.2 * std::exp(static_cast<double>(t.tempo));
    return static_cast<float>(
        std::clamp(e.seconds * factor + 0.3, shortest_reach_s, longest_note_s));
  }

  // The last note may be held for any time, but something else in its place is rather a new start.
  static float too_long_cost(const Token& t, const Event& e, float seconds) {
    if (!e.last) return 0;
    const float expected = static_cast<float>(e.seconds) * std::exp(t.tempo);
    return extra_cost_a_second * std::max(0.0F, seconds - 2 * expected);
  }

  void extend(std::size_t c, int event, Token t) {
    const std::size_t k = static_cast<std::size_t>(event);
    const Event& e = events_[k];
    // Only what lives until its turn is kept for the way back.
    t.before = ways_.add({t.before, event, static_cast<int>(c), t.left_at, t.skipped, t.extra});
    const FrameSums& playing = playing_[static_cast<std::size_t>(e.pitch_set)];
    const float limit = reach(t, e);
    const bool rest = e.sounding_seconds < 0.95 * e.seconds || e.plucked;
    float to_gap = none;  // best of playing up to e, then a gap
    const std::size_t end = std::min(at_.size(), c + slot_count - 1);
    for (std::size_t c2 = c + 1; c2 < end; ++c2) {
      const float seconds = at_[c2].time_s - at_[c].time_s;
      if (seconds > limit) break;
      const float held = playing[c2] - playing[c];
      const float gapped = to_gap + gap_[c2] - (rest ? 0.0F : gap_cost);
      const float another = other_[c2] - other_[c] - other_cost - too_long_cost(t, e, seconds);
      const float sound = std::max({held, gapped, another});
      to_gap = std::max(to_gap, playing[c2] - playing[c] - gap_[c2]);
      leave(c, c2, e, t, t.score + sound);
      if (sound < -beam) break;
      advance(c2, k, t, sound, seconds);
    }
  }

  Token timed(const Token& t, float seconds, double written) const {
    Token after = after_duration(t, seconds, static_cast<float>(written));
    if (!in_use(given_).durations) after.score = t.score;
    return after;
  }

  void advance(std::size_t c2, std::size_t k, const Token& t, float sound, float seconds) {
    const Event& e = events_[k];
    // A density of after_duration is never above 1: what cannot come near the best is not asked.
    if (t.score + sound + std::max(0.0F, at_[c2].strength) < slot(c2).best - beam) return;
    Token after = timed(t, seconds, e.seconds);
    after.score += sound;
    if (!e.last && events_[k + 1].open_to_play) {
      const Event& next = events_[k + 1];
      offer(c2, k + 1, after, after.score + onset(next, c2), false, false);
      if (!next.last && events_[k + 2].open_to_play) {
        Token over = timed(t, seconds, e.seconds + next.seconds);
        over.score += sound;
        const Token& better = over.score > after.score ? over : after;
        offer(c2, k + 2, better, better.score - skip_cost + onset(events_[k + 2], c2), true, false);
      }
    }
    if (e.after_repeat >= 0) {
      const std::size_t after_repeat = static_cast<std::size_t>(e.after_repeat);
      offer(c2, after_repeat, after,
            after.score - leave_out_repeat_cost + onset(events_[after_repeat], c2), false, false);
    }
    after.score -= extra_cost;
    offer_extra(c2, k, after);
  }

  // Something that the score does not tell goes on to the next candidate, or ends there: with the
  // note after, or with the same note again.
  void extend_extra(std::size_t c, int event, Token t) {
    const std::size_t k = static_cast<std::size_t>(event);
    const Event& e = events_[k];
    const std::size_t c2 = c + 1;
    const float seconds = at_[c2].time_s - at_[c].time_s;
    t.score += std::max(other_[c2] - other_[c], gap_[c2] - gap_[c]) - extra_cost_a_second * seconds;
    if (!e.last && events_[k + 1].open_to_play) {
      offer(c2, k + 1, t, t.score + onset(events_[k + 1], c2), false, true);
    }
    offer(c2, k, t, t.score - again_cost + onset(e, c2), false, true);
    offer_extra(c2, k, t);
  }

  void offer_extra(std::size_t c, std::size_t k, const Token& from) {
    Slot& then = slot(c);
    const Token* old = then.extras.find(k);
    if ((old != nullptr && from.score <= old->score) || from.score < then.best - beam) return;
    then.extras.put(k, from);
  }

  void leave(std::size_t, std::size_t c2, const Event& e, const Token& t, float score) {
    const bool cut_by_end = c2 + 1 == at_.size();
    if (!in_use(given_).jumps && !cut_by_end && !e.last) return;
    const float cost = cut_by_end ? 0.0F : e.last ? leave_after_last_cost : leave_cost;
    Hub& hub = hubs_[c2];
    if (score - cost <= hub.score) return;
    hub = {score - cost, t.tempo, t.variance, t.before, static_cast<int>(c2)};
  }

  Path trace() const {
    Path path;
    path.score = static_cast<double>(best_at_end_.score - anything_[at_.size() - 1]);
    double end =
        best_at_end_.left_at >= 0
            ? static_cast<double>(at_[static_cast<std::size_t>(best_at_end_.left_at)].time_s)
            : 0.0;
    for (int r = best_at_end_.record; r >= 0; r = ways_[r].before) {
      const Record& record = ways_[r];
      const double onset =
          static_cast<double>(at_[static_cast<std::size_t>(record.candidate)].time_s);
      const int before = record.before < 0 ? -1 : ways_[record.before].event;
      const bool over_repeat = before >= 0 && record.event > before + 2;
      path.placed.push_back({record.event, onset, end, record.left_at >= 0 || over_repeat,
                             record.skipped, record.extra});
      end = record.left_at >= 0
                ? static_cast<double>(at_[static_cast<std::size_t>(record.left_at)].time_s)
                : onset;
    }
    std::reverse(path.placed.begin(), path.placed.end());
    return path;
  }

  const std::vector<Event>& events_;
  const std::vector<Candidate>& at_;
  const Evidence& given_;
  FrameSums gap_, other_, anything_;
  std::vector<FrameSums> playing_;
  std::vector<float> enter_cost_;
  std::vector<std::vector<int>> events_of_;  // [pitch set]: those open to play
  std::vector<TokenTable::Entry> followed_;
  std::vector<Slot> slots_;
  std::vector<Hub> hubs_;
  WayBack ways_;
  Hub best_at_end_;
};

}  // namespace

Path coarse_path(const ScoreModel& score, const Observations& seen,
                 const std::vector<Candidate>& candidates, const Progress& progress) {
  if (score.events.empty() || candidates.size() < 2) return {};
  return Search(score, seen, candidates).run(progress);
}

}  // namespace endpin::listen
