#include "ensemble.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "endpin/simulator/performance.h"
#include "endpin/simulator/random.h"
#include "endpin/simulator/sound.h"

#include "mixing.h"
#include "piano_sound.h"

namespace endpin::evaluation {
namespace {

using namespace simulator;

/// Root and third of a chord as pitch classes.
struct Chord {
  int root = 0;
  bool minor = false;
  bool has(int midi) const {
    const int above = (midi - root + 120) % 12;
    return above == 0 || above == (minor ? 3 : 4) || above == 7;
  }
};

struct Part {
  const char* instrument;
  int lowest, highest;  // MIDI
  double spread_s;      // of its onsets against the beat
};
constexpr std::array<Part, 3> parts{
    {{"violin", 59, 76, 0.02}, {"viola", 50, 69, 0.02}, {"cello", 38, 55, 0.025}}};

enum class Habit { sustained, quarters, eighths, doubling };

/// Beats of the student in seconds.
class Beating {
 public:
  Beating(const Timeline& timeline, const std::vector<PlacedNote>& placed) {
    for (const PlacedNote& p : placed) {
      const double at = timeline.notes[static_cast<std::size_t>(p.index)].onset.to_double();
      if (!at_.empty() && (at <= at_.back() || p.onset.value() <= seconds_.back())) continue;
      at_.push_back(at);
      seconds_.push_back(p.onset.value());
    }
  }
  double seconds(double at) const {
    const auto after = std::upper_bound(at_.begin() + 1, at_.end() - 1, at) - at_.begin();
    const auto j = static_cast<std::size_t>(after);
    const double share = (at - at_[j - 1]) / (at_[j] - at_[j - 1]);
    return seconds_[j - 1] + share * (seconds_[j] - seconds_[j - 1]);
  }
  bool can_tell() const { return at_.size() > 1; }

 private:
  std::vector<double> at_, seconds_;
};

class Companions {
 public:
  Companions(const Timeline& timeline, const std::vector<PlacedNote>& placed, std::uint64_t seed)
      : timeline_(timeline), beating_(timeline, placed), random_(seed) {}

  Performance play(const Part& part) {
    Performance performance;
    if (!beating_.can_tell()) return performance;
    int last = (part.lowest + part.highest) / 2;
    for (const TimelineBar& bar : timeline_.bars) {
      const auto habit = static_cast<Habit>(random_.whole(0, 3));
      const double from = bar.start.to_double(), to = from + bar.length.to_double();
      if (habit == Habit::doubling) {
        double_line(part, from, to, performance);
      } else {
        const double step = habit == Habit::sustained ? 2 : habit == Habit::quarters ? 1 : 0.5;
        for (double at = from; at < to - 1e-6; at += step) {
          const Chord chord = chord_at(at, std::max(1.0, step));
          last = next_pitch(part, chord, habit == Habit::sustained ? 0 : last);
          add(part, at, std::min(to, at + step), last, performance);
        }
      }
    }
    return performance;
  }

 private:
  // The triad that most of what the student plays from there on belongs to.
  Chord chord_at(double at, double length) const {
    Chord best;
    double most = -1;
    for (int root = 0; root < 12; ++root) {
      for (const bool minor : {false, true}) {
        const Chord chord{root, minor};
        double fits = 0;
        for (const TimelineNote& n : timeline_.notes) {
          const double from = n.onset.to_double(), to = from + n.duration.to_double();
          const double common = std::min(to, at + length) - std::max(from, at);
          if (common <= 0) continue;
          fits += chord.has(n.midi) ? common * ((n.midi - root) % 12 == 0 ? 1.2 : 1) : 0;
        }
        if (fits > most) most = fits, best = chord;
      }
    }
    return best;
  }

  // A note of the chord inside the part's range, near the last but another where it may be.
  int next_pitch(const Part& part, const Chord& chord, int last) {
    std::vector<int> possible;
    for (int midi = part.lowest; midi <= part.highest; ++midi) {
      if (chord.has(midi) && midi != last) possible.push_back(midi);
    }
    if (last > 0) {
      std::sort(possible.begin(), possible.end(),
                [&](int a, int b) { return std::abs(a - last) < std::abs(b - last); });
      possible.resize(std::min<std::size_t>(3, possible.size()));
    }
    return possible[static_cast<std::size_t>(
        random_.whole(0, static_cast<int>(possible.size()) - 1))];
  }

  // The student's own notes, in unison where they lie in the part's range, or octaves below.
  void double_line(const Part& part, double from, double to, Performance& performance) {
    for (const TimelineNote& n : timeline_.notes) {
      const double at = n.onset.to_double();
      if (at < from - 1e-6 || at >= to - 1e-6) continue;
      int midi = n.midi;
      while (midi > part.highest) midi -= 12;
      while (midi < part.lowest) midi += 12;
      add(part, at, at + n.duration.to_double(), midi, performance);
    }
  }

  void add(const Part& part, double from, double to, int midi, Performance& performance) {
    PlayedNote note;
    const double begin = beating_.seconds(from) + random_.within(part.spread_s, 0.05);
    const double end = beating_.seconds(to) - 0.03;
    const double least = performance.notes.empty() ? 0.05 : performance.notes.back().onset.value();
    if (begin < least + 0.05 || end < begin + 0.05) return;
    if (!performance.notes.empty()) {
      auto& before = performance.notes.back().offset;
      before = std::min(before, Seconds(begin - 0.01));
    }
    note.onset = Seconds(begin);
    note.offset = Seconds(end);
    note.midi = midi;
    note.cents = random_.within(5, 10);
    note.level_db = random_.within(1.5, 3);
    note.attack_s = random_.uniform(0.025, 0.06);
    if (end - begin > 0.4) note.vibrato = {random_.uniform(4.8, 6.4), 25, random_.uniform(0, 6)};
    performance.notes.push_back(note);
  }

  const Timeline& timeline_;
  Beating beating_;
  Random random_;
};

void play_into(Audio& all, simulator::Performance performance, const char* instrument, int voice,
               std::uint64_t seed) {
  if (performance.notes.empty()) return;
  performance.length = performance.notes.back().offset + Seconds(0.8);
  const auto sound = synthetic_string(instrument, voice);
  const auto audio = at_rate(render(performance, *sound, instrument, seed), all.rate);
  mix_in(all, audio, Seconds(0), 0.1 / std::max(1e-9, rms(audio)));
}

}  // namespace

std::vector<PlacedNote> placed(const std::vector<measures::TrueNote>& truth) {
  std::vector<PlacedNote> notes;
  for (const auto& row : truth) notes.push_back({row.indices.front(), row.onset});
  return notes;
}

Audio among(Audio player, Audio others, Decibels below) {
  const double gain = std::pow(10, -below.value() / 20) * rms(player) / std::max(1e-9, rms(others));
  others.samples.resize(player.samples.size());
  mix_in(player, others, Seconds(0), gain);
  return player;
}

Audio companions(const Timeline& timeline, const std::vector<PlacedNote>& placed, Seconds length,
                 int rate, int first_voice, std::uint64_t seed) {
  Audio all = silence(length, rate);
  Companions players(timeline, placed, seed);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    play_into(all, players.play(parts[i]), parts[i].instrument, first_voice + static_cast<int>(i),
              seed + i);
  }
  all.samples.resize(static_cast<std::size_t>(length.value() * rate));
  return all;
}

Audio duet_partner(const Timeline& timeline, const std::vector<PlacedNote>& placed, Seconds length,
                   int rate, int voice, std::uint64_t seed) {
  Audio all = silence(length, rate);
  const Part& part = parts[1 + seed % 2];
  play_into(all, Companions(timeline, placed, seed).play(part), part.instrument, voice, seed);
  all.samples.resize(static_cast<std::size_t>(length.value() * rate));
  return all;
}

Audio piano(const Timeline& timeline, const std::vector<PlacedNote>& placed, Seconds length,
            int rate, std::uint64_t seed) {
  constexpr Part hands[] = {
      {"piano", 36, 52, 0.015}, {"piano", 53, 67, 0.015}, {"piano", 60, 76, 0.015}};
  Companions players(timeline, placed, seed);
  std::vector<PianoNote> notes;
  for (const Part& hand : hands) {
    for (const PlayedNote& n : players.play(hand).notes) {
      notes.push_back({n.onset, n.offset, n.midi, std::clamp(70 + 6 * n.level_db, 40.0, 100.0)});
    }
  }
  auto audio = at_rate(piano_sound(std::move(notes), length), rate);
  audio.samples.resize(static_cast<std::size_t>(length.value() * rate));
  return audio;
}

std::vector<Seconds> beat_times(const Timeline& timeline, const std::vector<PlacedNote>& placed,
                                double quarters_apart) {
  const Beating beating(timeline, placed);
  std::vector<Seconds> times;
  if (!beating.can_tell()) return times;
  const double end =
      timeline.notes[static_cast<std::size_t>(placed.back().index)].onset.to_double();
  double at =
      std::ceil(timeline.notes[static_cast<std::size_t>(placed.front().index)].onset.to_double());
  for (; at <= end; at += quarters_apart) times.push_back(Seconds(beating.seconds(at)));
  return times;
}

}  // namespace endpin::evaluation
