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
// A note is followed for so long at most; one that is written longer, for that share of its time.
constexpr double longest_note_s = 20, longest_share = 1.5, shortest_reach_s = 0.45;
// Of one that is held for longer than is usual, and of each frame of it at least.
constexpr float stay_cost = 8, least_held = -0.8F;
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
        anything_(candidates, seen.frames(), [&](std::size_t f) { return seen.anything(f); }),
        tokens_(score.events.size()),
        extras_(score.events.size()),
        extras_before_(score.events.size()) {
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
      ways_on_.push_back(ways_on_from(k));
      if (events_[k].open_to_play) {
        events_of_[static_cast<std::size_t>(events_[k].pitch_set)].push_back(static_cast<int>(k));
      }
    }
  }

  Path run(const Progress& progress) {
    for (std::size_t c = 0; c < at_.size(); ++c) {
      if (progress && c % 500 == 0) {
        progress(static_cast<double>(c) / static_cast<double>(at_.size()));
      }
      step(c);
      if (ways_.is_crowded()) forget_dead_ways();
    }
    return trace();
  }

 private:
  // A token whose event has begun and sounds on.
  struct Sounding {
    Token token;
    int event = 0, candidate = 0;
    const FrameSums* playing = nullptr;
    // Seconds: at most held; with something else in its place, or with a gap after it.
    float limit = 0, another_limit = 0, gap_limit = 0;
    float gap_cost = 0;
    float to_gap = none;     // best of playing up to somewhere, then a gap
    int gap_candidate = -1;  // where that gap begins
    float sound = 0;         // of what was heard since it began
  };

  // Where an event leads, what is asked for each moment at which it may end.
  struct WaysOn {
    float seconds = 0, with_next = 0;  // written: of the event, and of the one after as well
    bool next = false, over = false;   // whether there is one, and whether it may be left out
    bool next_is_faint = false, over_is_faint = false;
    int after_repeat = -1;
  };

  WaysOn ways_on_from(std::size_t k) const {
    const Event& e = events_[k];
    WaysOn on;
    on.seconds = static_cast<float>(e.seconds);
    on.after_repeat = e.after_repeat;
    on.next = !e.last && events_[k + 1].open_to_play;
    if (!on.next) return on;
    on.with_next = static_cast<float>(e.seconds + events_[k + 1].seconds);
    on.next_is_faint = begins_faintly(events_[k + 1]);
    on.over = !events_[k + 1].last && events_[k + 2].open_to_play;
    on.over_is_faint = on.over && begins_faintly(events_[k + 2]);
    return on;
  }

  // All that live at a moment are known before any goes on from there: none is offered that is
  // hopeless beside what sounds on.
  void step(std::size_t c) {
    const float best_before = best_;
    stay_in_hub(c);
    sound_on(c, best_before);
    if (c + 1 == at_.size()) return;
    for (const Sounding& s : sounding_) advance(c, s);
    for (const auto& [event, token] : extras_before_.entries()) extend_extra(c, event, token);
    enter_from_hub(c);
    choose_followed();
    for (const auto& [event, token] : followed_) begin(c, event, token);
    tokens_.clear();
    extras_before_.clear();
    for (const auto& [event, token] : extras_.entries()) {
      if (token.score >= best_ - beam) extras_before_.put(static_cast<std::size_t>(event), token);
    }
    extras_.clear();
  }

  // The likeliest tokens, none that is hopeless; of equal ones those that came first.
  void choose_followed() {
    followed_.clear();
    for (const auto& entry : tokens_.entries()) {
      if (entry.token.score >= best_ - beam) followed_.push_back(entry);
    }
    if (followed_.size() <= most_followed) return;
    std::stable_sort(followed_.begin(), followed_.end(),
                     [](const auto& a, const auto& b) { return a.token.score > b.token.score; });
    followed_.resize(most_followed, followed_.front());
  }

  void forget_dead_ways() {
    std::vector<int*> ends{&hub_.record};
    for (Sounding& s : sounding_) ends.push_back(&s.token.before);
    for (auto& entry : extras_before_.entries()) ends.push_back(&entry.token.before);
    ways_.keep_ways_to(ends);
  }

  void stay_in_hub(std::size_t c) {
    if (c == 0) {
      hub_.score = 0;
    } else {
      hub_.score += anything_[c] - anything_[c - 1];
    }
    best_ = hub_.score;
  }

  static bool begins_faintly(const Event& e) {
    // Inside a slur and after an ornament's small notes a beginning may be faint.
    return e.slurred || e.ornamented;
  }

  float onset(bool faint, std::size_t c) const {
    const float strength = at_[c].strength;
    return faint ? std::max(-0.7F, 0.6F * strength) : strength;
  }

  void enter_from_hub(std::size_t c) {
    const float best = best_;
    if (hub_.score < best - beam) return;
    std::size_t ahead = c + 1;
    while (ahead + 1 < at_.size() && at_[ahead].time_s < at_[c].time_s + 0.2F) ++ahead;
    const float frames = frames_in(at_[ahead].time_s - at_[c].time_s);
    const bool again = hub_.record >= 0;
    if (again && at_[c].strength < 0.3F) return;  // going on needs a beginning
    for (std::size_t set = 0; set < events_of_.size(); ++set) {
      if (playing_[set][ahead] - playing_[set][c] < -1.6F * frames) continue;
      for (const int event : events_of_[set]) {
        const std::size_t k = static_cast<std::size_t>(event);
        const float cost = again ? again_cost_of(k) : enter_cost_[k];
        const float score = hub_.score - cost + at_[c].strength;
        if (score >= best - beam) enter(c, k, score);
      }
    }
  }

  void enter(std::size_t c, std::size_t k, float score) {
    const Token* old = tokens_.find(k);
    if (old != nullptr && old->score >= score) return;
    Token t{score, hub_.tempo, hub_.variance, hub_.record,
            hub_.left_at < 0 ? static_cast<int>(c) : hub_.left_at};
    if (t.variance >= 0) t.variance += 0.03F;
    tokens_.put(k, t);
  }

  // Of entering at an event after playing was left elsewhere.
  float again_cost_of(std::size_t k) const {
    const int left = ways_[hub_.record].event, back = left - static_cast<int>(k);
    const bool near = back >= 0 && back <= near_events && events_[k].bar_start;
    // Who played the last note stopped because it was the last.
    if (!near || events_[static_cast<std::size_t>(left)].last)
      return std::max(enter_cost_[k], enter_again_cost);
    return enter_near_bar_cost;
  }

  // Whether a token of that score is better than that of event `k`, and not hopeless.
  bool is_better(const TokenTable& table, std::size_t k, float score) const {
    const Token* old = table.find(k);
    return score >= best_ - beam && (old == nullptr || old->score < score);
  }

  // `from()`: the token before, made only where it is taken.
  template <typename From>
  void offer(std::size_t k, From&& from, float score, bool skipped, bool extra) {
    if (!is_better(tokens_, k, score)) return;
    best_ = std::max(best_, score);
    const Token t = from();
    tokens_.put(k, {score, t.tempo, t.variance, t.before, -1, skipped, extra});
  }

  struct Reach {
    float usual, longest;  // seconds
  };

  // A note may be held for any time, though nothing says so.
  static Reach reach(const Token& t, const Event& e) {
    const double expected =
        e.seconds * (t.variance < 0 ? 1.0 : std::exp(static_cast<double>(t.tempo)));
    const double longest = std::max(longest_note_s, longest_share * expected);
    const double factor = t.variance < 0 ? 2.6 : 3.2;
    const double usual = std::clamp(expected * factor + 0.3, shortest_reach_s, longest);
    return {static_cast<float>(usual), static_cast<float>(longest)};
  }

  // The last note may be held for any time, but something else in its place is rather a new start.
  static float too_long_cost(const Token& t, const Event& e, float seconds) {
    if (!e.last) return 0;
    const float expected = static_cast<float>(e.seconds) * std::exp(t.tempo);
    return extra_cost_a_second * std::max(0.0F, seconds - 2 * expected);
  }

  void begin(std::size_t c, int event, Token t) {
    const Event& e = events_[static_cast<std::size_t>(event)];
    // Only what lives until its turn is kept for the way back.
    t.before = ways_.add({t.before, event, static_cast<int>(c), t.left_at, t.skipped, t.extra});
    Sounding s{t, event, static_cast<int>(c)};
    s.playing = &playing_[static_cast<std::size_t>(e.pitch_set)];
    const auto [usual, longest] = reach(t, e);
    s.limit = longest, s.another_limit = usual;
    s.gap_limit = e.last || e.fermata ? longest : usual;
    s.gap_cost = e.sounding_seconds < 0.95 * e.seconds || e.plucked ? 0.0F : gap_cost;
    sounding_.push_back(s);
  }

  // Takes what has begun on to a candidate, and drops what was hopeless beside the `best` at the
  // one before or cannot sound for so long.
  void sound_on(std::size_t c, float best) {
    std::size_t kept = 0;
    for (Sounding& s : sounding_) {
      if (s.token.score + s.sound < best - beam) continue;
      const std::size_t from = static_cast<std::size_t>(s.candidate);
      const float seconds = at_[c].time_s - at_[from].time_s;
      if (seconds > s.limit) continue;
      const Event& e = events_[static_cast<std::size_t>(s.event)];
      const float held = (*s.playing)[c] - (*s.playing)[from];
      const bool too_long = seconds > s.gap_limit;
      if (too_long && held < least_held * frames_in(seconds)) continue;
      const float gapped = may_be_gap(s, c, seconds) ? s.to_gap + gap_[c] - s.gap_cost : none;
      const float another = seconds > s.another_limit ? none
                                                      : other_[c] - other_[from] - other_cost -
                                                            too_long_cost(s.token, e, seconds);
      s.sound = std::max({held, gapped, another}) - (too_long ? stay_cost : 0.0F);
      if (held - gap_[c] > s.to_gap) {
        s.to_gap = held - gap_[c];
        s.gap_candidate = static_cast<int>(c);
      }
      leave(c, e, s);
      // What else sounds in a note's place is at length rather something of its own. A held note
      // may last as long as it likes in noise: there every other way loses as much.
      if (s.sound < -beam && (too_long || s.sound > held)) continue;
      best_ = std::max(best_, s.token.score + s.sound);
      sounding_[kept++] = s;
    }
    sounding_.resize(kept);
  }

  static float frames_in(float seconds) { return seconds * 100 * frame_weight; }

  // However long a note was held, the gap after it is no longer than all of it usually is.
  bool may_be_gap(const Sounding& s, std::size_t c, float seconds) const {
    if (seconds <= s.gap_limit) return true;
    return s.gap_candidate >= 0 &&
           at_[c].time_s - at_[static_cast<std::size_t>(s.gap_candidate)].time_s <= s.another_limit;
  }

  Duration lasting(const Token& t, float seconds, float written) const {
    Duration lasted = duration_of(t, seconds, written);
    if (!in_use(given_).durations) lasted.score = 0;
    return lasted;
  }

  // What is offered is most often worse than what is there: then it is not reckoned how likely it
  // lasted so long, where that cannot make it better, and nothing is learnt from it.
  void advance(std::size_t c, const Sounding& s) {
    const std::size_t k = static_cast<std::size_t>(s.event);
    const WaysOn& on = ways_on_[k];
    const Token& t = s.token;
    const float most = t.score + s.sound;
    const float begins = onset(on.next_is_faint, c);
    const float begins_over = onset(on.over_is_faint, c) - skip_cost;
    const bool next = on.next && is_better(tokens_, k + 1, most + begins);
    const bool over = on.over && is_better(tokens_, k + 2, most + begins_over);
    // What follows the last note, be it talk, comes after playing.
    const bool extra = !events_[k].last && is_better(extras_, k, most - extra_cost);
    if (!next && !over && !extra && on.after_repeat < 0) return;
    const float seconds = at_[c].time_s - at_[static_cast<std::size_t>(s.candidate)].time_s;
    const Duration lasted = lasting(t, seconds, on.seconds);
    const auto after = [&] { return after_duration(t, lasted); };
    const float likely = t.score + lasted.score + s.sound;
    if (next) offer(k + 1, after, likely + begins, false, false);
    if (over) {
      // The event left out took its time with it, or did not.
      const Duration longer = lasting(t, seconds, on.with_next);
      const Duration& better = longer.score > lasted.score ? longer : lasted;
      offer(
          k + 2, [&] { return after_duration(t, better); },
          t.score + better.score + s.sound + begins_over, true, false);
    }
    if (on.after_repeat >= 0) {
      const std::size_t after_repeat = static_cast<std::size_t>(on.after_repeat);
      offer(after_repeat, after,
            likely - leave_out_repeat_cost + onset(begins_faintly(events_[after_repeat]), c), false,
            false);
    }
    if (extra) offer_extra(k, after, likely - extra_cost);
  }

  // Something that the score does not tell goes on from the candidate before, or ended here: with
  // the note after, or with the same note again.
  void extend_extra(std::size_t c, int event, Token t) {
    const std::size_t k = static_cast<std::size_t>(event);
    const WaysOn& on = ways_on_[k];
    const float seconds = at_[c].time_s - at_[c - 1].time_s;
    t.score +=
        std::max(other_[c] - other_[c - 1], gap_[c] - gap_[c - 1]) - extra_cost_a_second * seconds;
    const auto same = [&] { return t; };
    if (on.next) offer(k + 1, same, t.score + onset(on.next_is_faint, c), false, true);
    offer(k, same, t.score - again_cost + onset(begins_faintly(events_[k]), c), false, true);
    offer_extra(k, same, t.score);
  }

  template <typename From>
  void offer_extra(std::size_t k, From&& from, float score) {
    if (!is_better(extras_, k, score)) return;
    Token t = from();
    t.score = score;
    extras_.put(k, t);
  }

  void leave(std::size_t c, const Event& e, const Sounding& s) {
    const bool cut_by_end = c + 1 == at_.size();
    if (!in_use(given_).jumps && !cut_by_end && !e.last) return;
    const float cost = cut_by_end ? 0.0F : e.last ? leave_after_last_cost : leave_cost;
    const float score = s.token.score + s.sound - cost;
    if (score <= hub_.score) return;
    hub_ = {score, s.token.tempo, s.token.variance, s.token.before, static_cast<int>(c)};
  }

  Path trace() const {
    Path path;
    path.score = static_cast<double>(hub_.score - anything_[at_.size() - 1]);
    double end = hub_.left_at >= 0
                     ? static_cast<double>(at_[static_cast<std::size_t>(hub_.left_at)].time_s)
                     : 0.0;
    for (int r = hub_.record; r >= 0; r = ways_[r].before) {
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
  std::vector<WaysOn> ways_on_;
  std::vector<std::vector<int>> events_of_;  // [pitch set]: those open to play
  // Of the candidate at work: what begins there; what the score does not tell, and that of the one
  // before; the hub; the best of all.
  TokenTable tokens_, extras_, extras_before_;
  Hub hub_;
  float best_ = none;
  std::vector<TokenTable::Entry> followed_;
  std::vector<Sounding> sounding_;
  WayBack ways_;
};

}  // namespace

Path coarse_path(const ScoreModel& score, const Observations& seen,
                 const std::vector<Candidate>& candidates, const Progress& progress) {
  if (score.events.empty() || candidates.size() < 2) return {};
  return Search(score, seen, candidates).run(progress);
}

}  // namespace endpin::listen
