#include "endpin/simulator/performance.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "endpin/simulator/random.h"

namespace endpin::simulator {
namespace {

constexpr double shortest_step_s = 0.05;  // two onsets never come closer: a hand needs as long
constexpr double tail_s = 0.8;            // silence after the last note
constexpr double half_semitone = 50;      // cents
constexpr double vibrato_from_s = 0.35;   // shorter notes get none: two cycles at 5.5 Hz
constexpr double bars_a_phrase = 4;

// In quarters; a pickup is shorter.
double longest_bar(const Timeline& timeline) {
  double longest = timeline.bars.empty() ? 4 : 0;
  for (const auto& bar : timeline.bars) longest = std::max(longest, bar.length.to_double());
  return longest;
}

/// Where in its phrase something stands.
class Phrasing {
 public:
  explicit Phrasing(const Plan& plan, const Timeline& timeline)
      : phrase_(bars_a_phrase * longest_bar(timeline)), last_(plan.intents.back().at) {}

  /// 0 at its beginning and its end, 1 in the middle.
  double arc(double at) const {
    return std::sin(std::numbers::pi * std::fmod(at, phrase_) / phrase_);
  }
  /// The tempo's factor: on in the middle, back towards the end, and further before the last note.
  double pace(double at, double rubato) const {
    const double left = phrase_ - std::fmod(at, phrase_);
    double factor = 1 + rubato * (arc(at) - 0.6);
    if (left <= 1) factor -= 2 * rubato;
    if (last_ - at <= 4) factor -= 4 * rubato * (1 - (last_ - at) / 4);
    return std::max(factor, 0.35);
  }

 private:
  double phrase_, last_;
};

/// The time of each intent's beat, and of any place between them.
class Clock {
 public:
  Clock(const Timeline& timeline, const Plan& plan, const Player& player, Random random,
        double start)
      : plan_(plan) {
    const double tempo = timeline.tempo.tempo_at(Beats(0)).value() * plan.tempo_factor;
    const Phrasing phrasing(plan, timeline);
    double drift = 0;
    double time = start;
    double at = plan.intents.front().at;
    double pace = 1;
    for (const auto& intent : plan.intents) {
      if (intent.at > at) {
        drift = 0.85 * drift + random.within(0.53 * player.tempo_wander, player.tempo_wander);
        const double free = phrasing.pace(at, player.rubato);
        seconds_per_quarter_ = 60 / (tempo * pace * free * (1 + drift));
        time += (intent.at - at) * seconds_per_quarter_;
      }
      time += intent.wait_s;
      at = intent.at;
      pace = intent.pace;
      times_.push_back(time);
      step_.push_back(0);
    }
    for (std::size_t i = 0; i < times_.size(); ++i) step_[i] = quarter_after(i);
  }

  double beat(std::size_t intent) const { return times_[intent]; }
  /// Seconds a quarter lasts from this intent on.
  double quarter(std::size_t intent) const { return step_[intent]; }

 private:
  double quarter_after(std::size_t i) const {
    for (std::size_t j = i + 1; j < times_.size(); ++j) {
      const double way = plan_.intents[j].at - plan_.intents[i].at;
      if (way <= 0) continue;
      return (times_[j] - plan_.intents[j].wait_s - times_[i]) / way;
    }
    return seconds_per_quarter_;
  }

  const Plan& plan_;
  std::vector<double> times_;
  std::vector<double> step_;
  double seconds_per_quarter_ = 0.7;
};

class Musician {
 public:
  Musician(const Timeline& timeline, const Plan& plan, const Player& player, std::uint64_t seed,
           double lead_in)
      : timeline_(timeline),
        plan_(plan),
        player_(player),
        random_(seed),
        singing_(seed ^ 0x5157),
        phrasing_(plan, timeline),
        clock_(timeline, plan, player, random_.fork(), lead_in) {
    for (auto& cents : strings_)
      cents = random_.within(player.string_cents, 2 * player.string_cents);
  }

  Performance play() {
    for (std::size_t i = 0; i < plan_.intents.size(); ++i) out_.notes.push_back(note(i));
    for (std::size_t i = 0; i < out_.notes.size(); ++i) set_onset(i);
    for (std::size_t i = 0; i < out_.notes.size(); ++i) finish(i);
    for (std::size_t i = 0; i < out_.notes.size(); ++i) shape(i);
    out_.a4 = transpose(standard_a4, Cents(plan_.a4_cents));
    out_.bow_noise_db = player_.bow_noise_db;
    tell_truth();
    return std::move(out_);
  }

 private:
  PlayedNote note(std::size_t i) {
    const auto& intent = plan_.intents[i];
    PlayedNote played;
    played.index = intent.index;
    played.attempt = intent.attempt;
    played.midi = intent.midi;
    played.string = intent.string;
    played.open = intent.finger == 0;
    played.joined = intent.joined;
    played.plucked = intent.plucked;
    played.touched = intent.touched;
    played.scratch = std::max(intent.scratch, player_.scratch * random_.uniform());
    played.level_db = random_.within(player_.level_spread_db, 2 * player_.level_spread_db) +
                      player_.phrase_db * (phrasing_.arc(intent.at) - 0.6);
    const double own = random_.within(player_.finger_cents, 2 * player_.finger_cents);
    const double tuning = strings_[static_cast<std::size_t>((intent.string - 1) & 3)];
    played.cents = off_pitch(intent, tuning + (played.open ? 0 : own));
    const double attack = random_.within(player_.attack_spread_s, player_.attack_s);
    played.attack_s = std::max(0.012, intent.attack_s.value_or(player_.attack_s) + attack);
    return played;
  }

  // What is off on purpose stays nearer to its own pitch than to the next semitone.
  static double off_pitch(const Intent& intent, double error) {
    if (intent.cents == 0) return error;
    if (intent.cents_are_all) return intent.cents;
    return std::clamp(intent.cents + error, -half_semitone, half_semitone);
  }

  void set_onset(std::size_t i) {
    const double jitter = random_.within(player_.onset_jitter_s, 2 * player_.onset_jitter_s);
    double onset = clock_.beat(i) + jitter + plan_.intents[i].delay_s;
    if (i > 0) {
      const double before = out_.notes[i - 1].onset.value();
      const bool chord = plan_.intents[i].at == plan_.intents[i - 1].at;
      onset = chord ? before : std::max(onset, before + shortest_step_s);
    }
    out_.notes[i].onset = Seconds(onset);
  }

  /// Whether the bow turns into this note while the string still sounds.
  bool turns_unheard(std::size_t i) {
    if (i == 0 || !singing_.chance(player_.smooth_turns)) return false;
    const auto& before = plan_.intents[i - 1];
    const auto& intent = plan_.intents[i];
    const bool follows = std::abs(before.at + before.length - intent.at) < 1e-6;
    const bool full = !before.hold && (before.index < 0 || habit(before) >= player_.hold);
    const bool one_string = before.string == intent.string && !before.plucked && !intent.plucked;
    return follows && full && one_string && intent.wait_s == 0 && !intent.joined;
  }

  /// How the tone goes from note to note, and within a note, of who plays beyond the plain stroke.
  void shape(std::size_t i) {
    auto& played = out_.notes[i];
    const auto& intent = plan_.intents[i];
    played.glide_s = player_.glide_s;
    if (turns_unheard(i)) {
      played.turn_db = singing_.uniform(3, 12);
      out_.notes[i - 1].offset = played.onset;
    }
    const bool leaps = i > 0 && std::abs(intent.midi - plan_.intents[i - 1].midi) >= 3;
    if (intent.joined && leaps && singing_.chance(player_.slide_chance)) {
      const double room = std::min((played.onset - out_.notes[i - 1].onset).value(),
                                   (played.offset - played.onset).value());
      played.glide_s = std::min(singing_.uniform(0.08, 0.2), 0.8 * room);
    }
    if ((played.offset - played.onset).value() > vibrato_from_s) {
      played.swell_db = singing_.uniform(-player_.swell_db, player_.swell_db);
    }
  }

  /// Offset and vibrato, once all onsets stand.
  void finish(std::size_t i) {
    const auto& intent = plan_.intents[i];
    auto& played = out_.notes[i];
    const auto next = next_onset_place(i);
    const bool goes_on = next && plan_.intents[*next].joined;
    const double spread = random_.within(player_.hold_spread, 2 * player_.hold_spread);
    const double hold = std::min(intent.hold.value_or(habit(intent) + spread), 1.0);
    const double written = intent.length * clock_.quarter(i);
    double offset = played.onset.value() + hold * written;
    if (next) {
      const double limit = out_.notes[*next].onset.value();
      const bool abuts = plan_.intents[*next].at <= intent.at + intent.length + 1e-6;
      // What begins late has only what is left to it, and leaves its share of that.
      const double left = std::min(written, limit - played.onset.value());
      if (abuts) offset = limit - (1 - hold) * left - plan_.intents[*next].wait_s * 0.5;
      offset = goes_on ? limit : std::min(offset, limit - 0.004);
    }
    played.offset = Seconds(std::max(offset, played.onset.value() + 0.03));
    const double length = (played.offset - played.onset).value();
    const bool may = !played.open && !played.plucked && length > vibrato_from_s;
    if (random_.chance(player_.vibrato_chance) && may) {
      played.vibrato = {random_.uniform(4.8, 6.6),
                        player_.vibrato_cents * random_.uniform(0.7, 1.3),
                        random_.uniform(0, 2 * std::numbers::pi)};
    }
  }

  double habit(const Intent& intent) const {
    if (intent.index < 0) return player_.hold;
    const auto kind = timeline_.notes[static_cast<std::size_t>(intent.index)].articulation;
    switch (kind) {
      case Articulation::staccato:
      case Articulation::spiccato:
        return player_.staccato_hold;
      case Articulation::staccatissimo:
        return 0.5 * player_.staccato_hold;
      case Articulation::portato:
        return 0.75;
      case Articulation::tenuto:
        return 0.99;
      default:
        return player_.hold;
    }
  }

  /// The next to begin; for what is held, the next when its length is over.
  std::optional<std::size_t> next_onset_place(std::size_t i) const {
    const auto& intent = plan_.intents[i];
    const double until = intent.held ? intent.at + intent.length - 1e-6 : intent.at;
    for (std::size_t j = i + 1; j < plan_.intents.size(); ++j) {
      if (plan_.intents[j].at > until) return j;
    }
    return std::nullopt;
  }

  void tell_truth() {
    out_.truth.resize(timeline_.notes.size());
    int first = static_cast<int>(timeline_.notes.size());
    int last = -1;
    double end = 0;
    for (std::size_t i = 0; i < out_.notes.size(); ++i) {
      const auto& played = out_.notes[i];
      end = std::max(end, played.offset.value());
      if (played.index < 0) continue;
      first = std::min(first, played.index);
      last = std::max(last, played.index);
      if (played.attempt) continue;
      const auto place = static_cast<std::size_t>(played.index);
      const bool right = timeline_.notes[place].midi == played.midi;
      out_.truth[place] = {right ? NoteState::heard : NoteState::wrong, i};
    }
    for (int i = first; i <= last; ++i) {
      auto& truth = out_.truth[static_cast<std::size_t>(i)];
      if (truth.state == NoteState::not_reached) truth.state = NoteState::missed;
    }
    out_.length = Seconds(end + tail_s);
    for (const auto& r : plan_.restarts) {
      out_.restarts.push_back({out_.notes[r.intent].onset, r.from_index, r.to_index});
    }
    out_.findings = plan_.findings;
    out_.tolerated = plan_.tolerated;
  }

  const Timeline& timeline_;
  const Plan& plan_;
  const Player& player_;
  Random random_;
  Random singing_;  // of its own: who does not sing plays as before
  Phrasing phrasing_;
  Clock clock_;
  std::array<double, 4> strings_{};
  Performance out_;
};

}  // namespace

Player professional() { return {}; }

Player singer() {
  Player p;
  p.tempo_wander = 0.03;
  p.onset_jitter_s = 0.02;
  p.finger_cents = 9;
  p.hold = 0.97;
  p.attack_s = 0.06;
  p.attack_spread_s = 0.03;
  p.vibrato_chance = 1;
  p.vibrato_cents = 60;
  p.level_spread_db = 3;
  p.bow_noise_db = -34;
  p.rubato = 0.12;
  p.phrase_db = 8;
  p.swell_db = 8;
  p.glide_s = 0.06;
  p.slide_chance = 0.5;
  p.smooth_turns = 0.8;
  return p;
}

Player good_student() {
  Player p;
  p.tempo_wander = 0.025;
  p.onset_jitter_s = 0.012;
  p.finger_cents = 7;
  p.string_cents = 3;
  p.hold = 0.93;
  p.attack_s = 0.045;
  p.vibrato_chance = 0.3;
  p.bow_noise_db = -34;
  return p;
}

Player beginner() {
  Player p;
  p.tempo_wander = 0.03;
  p.onset_jitter_s = 0.018;
  p.finger_cents = 8;
  p.string_cents = 4;
  p.hold = 0.91;
  p.hold_spread = 0.03;
  p.attack_s = 0.06;
  p.attack_spread_s = 0.02;
  p.vibrato_chance = 0;
  p.level_spread_db = 2.5;
  p.bow_noise_db = -28;
  p.scratch = 0.15;
  return p;
}

Performance perform(const Timeline& timeline, const Plan& plan, const Player& player,
                    std::uint64_t seed, Seconds lead_in) {
  return Musician(timeline, plan, player, seed, lead_in.value()).play();
}

}  // namespace endpin::simulator
