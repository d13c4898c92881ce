#include <algorithm>
#include <cstdlib>
#include <limits>
#include <set>

#include "simple_parts.h"

namespace endpin {
namespace {

// Chosen: what the plain rules of a second voice weigh against each other.
constexpr double sixth = 0.4, fifth = 3, unison = 5, above_the_tune = 8, dissonance = 30;
constexpr double outside_harmony = 1.5, semitone_moved = 0.25, leap = 1.5, parallel = 40;
constexpr int leap_from = 6;  // semitones

// One beat of the tune: what sounds at its beginning, or nothing.
struct Beat {
  std::size_t bar = 0;
  Beats duration;
  std::optional<SpelledPitch> tune;
};

std::vector<Beat> beats_of(const Accompanied& tune) {
  std::vector<Beat> beats;
  for (std::size_t i = 0; i < tune.bars.size(); ++i) {
    const Beats whole = length(tune.bars[i]);
    for (Beats at; at < whole; at += tune.beats[i]) {
      Beat beat{i, std::min(tune.beats[i], whole - at), {}};
      Beats onset;
      for (const LineNote& note : tune.bars[i]) {
        // The last note that has begun by then; what begins inside a beat after a rest counts too.
        if (onset <= at || (onset < at + beat.duration && !beat.tune)) beat.tune = note.pitch;
        onset += note.duration;
      }
      beats.push_back(beat);
    }
  }
  return beats;
}

class Voice {
 public:
  explicit Voice(const Accompanied& tune) : tune_(tune), beats_(beats_of(tune)) {
    for (int i = 0; i < 7 * 9; ++i) {
      const SpelledPitch pitch = tune.key.above(tune.key.tonic(0), i);
      if (tune.playable(pitch)) pitches_.push_back(pitch);
    }
  }

  std::vector<Phrase> make() {
    if (pitches_.empty() || beats_.empty()) return {};
    return phrases(cheapest());
  }

 private:
  double own_cost(const Beat& beat, SpelledPitch pitch) const {
    const int below = beat.tune->midi() - pitch.midi();
    const int size = ((below % 12) + 12) % 12;
    double cost = 0;
    if (below < 0) cost += above_the_tune;
    if (size == 0) {
      cost += unison;
    } else if (size == 7) {
      cost += fifth;
    } else if (size == 8 || size == 9) {
      cost += sixth;
    } else if (size != 3 && size != 4) {
      cost += dissonance;
    }
    if (!tune_.harmony[beat.bar].holds(pitch)) cost += outside_harmony;
    // Far below is another register than a second voice's.
    cost += 0.1 * std::max(0, std::abs(below) - 12);
    return cost;
  }

  double step_cost(const Beat& before, SpelledPitch a, const Beat& now, SpelledPitch b) const {
    const int moved = std::abs(b.midi() - a.midi());
    double cost = semitone_moved * moved + (moved >= leap_from ? leap : 0);
    const int first = std::abs(before.tune->midi() - a.midi()) % 12;
    const int second = std::abs(now.tune->midi() - b.midi()) % 12;
    const bool perfect = first == second && (first == 0 || first == 7);
    if (perfect && moved > 0 && before.tune->midi() != now.tune->midi()) cost += parallel;
    return cost;
  }

  // By beat the index of its pitch; -1 where the tune rests.
  std::vector<int> cheapest() const {
    const std::size_t many = pitches_.size();
    std::vector<std::vector<int>> from(beats_.size(), std::vector<int>(many, -1));
    std::vector<double> cost(many, 0);
    std::ptrdiff_t last = -1;
    for (std::size_t b = 0; b < beats_.size(); ++b) {
      if (!beats_[b].tune) continue;
      std::vector<double> next(many);
      for (std::size_t i = 0; i < many; ++i) {
        double least = last < 0 ? 0 : std::numeric_limits<double>::infinity();
        for (std::size_t k = 0; last >= 0 && k < many; ++k) {
          const double way = cost[k] + step_cost(beats_[static_cast<std::size_t>(last)],
                                                 pitches_[k], beats_[b], pitches_[i]);
          if (way < least) {
            least = way;
            from[b][i] = static_cast<int>(k);
          }
        }
        next[i] = least + own_cost(beats_[b], pitches_[i]);
      }
      cost = std::move(next);
      last = static_cast<std::ptrdiff_t>(b);
    }
    std::vector<int> chosen(beats_.size(), -1);
    auto at = static_cast<int>(std::min_element(cost.begin(), cost.end()) - cost.begin());
    for (std::size_t b = beats_.size(); b-- > 0;) {
      if (!beats_[b].tune) continue;
      chosen[b] = at;
      at = from[b][static_cast<std::size_t>(at)];
    }
    return chosen;
  }

  // Beats on one pitch inside a bar are one note.
  std::vector<Phrase> phrases(const std::vector<int>& chosen) const {
    std::vector<Phrase> bars(tune_.bars.size());
    for (std::size_t b = 0; b < beats_.size(); ++b) {
      Phrase& bar = bars[beats_[b].bar];
      const auto pitch = chosen[b] < 0
                             ? std::nullopt
                             : std::optional(pitches_[static_cast<std::size_t>(chosen[b])]);
      if (!bar.empty() && bar.back().pitch == pitch) {
        bar.back().duration += beats_[b].duration;
      } else {
        bar.push_back(pitch ? line_note(*pitch, beats_[b].duration)
                            : line_rest(beats_[b].duration));
      }
    }
    return bars;
  }

  const Accompanied& tune_;
  std::vector<Beat> beats_;
  std::vector<SpelledPitch> pitches_;
};

}  // namespace

std::vector<Phrase> second_voice(const Accompanied& tune) { return Voice(tune).make(); }

}  // namespace endpin
