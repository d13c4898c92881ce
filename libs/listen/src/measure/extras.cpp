#include "measure/extras.h"

#include <algorithm>
#include <cmath>

#include "measure/stroke.h"

namespace endpin::listen {
namespace {

constexpr double stable_s = 0.08;
constexpr double least_salience = 0.25;
constexpr double below_note_db = 12;  // what is softer may be a resonance
constexpr double struck_again_attack = 2.5, struck_again_dip_db = 10;
constexpr double away_from_ends_s = 0.11;

class Extras {
 public:
  Extras(const Aligned& aligned, const Hearing& hearing) : a_(aligned), h_(hearing) {}

  std::vector<ExtraNote> find() {
    for (std::size_t i = 0; i < a_.events.size(); ++i) {
      if (a_.events[i].left_out || event(i).plucked || event(i).ornamented) continue;
      if (heard(i)) struck_again(i);
      if (i + 1 < a_.events.size() && !a_.events[i + 1].jumped_to) in_gap(i);
    }
    return std::move(found_);
  }

 private:
  const Event& event(std::size_t i) const {
    return a_.score.events[static_cast<std::size_t>(a_.events[i].event)];
  }
  const NoteHearing& note(std::size_t i) const {
    return h_.notes[static_cast<std::size_t>(event(i).notes.back())];
  }
  bool heard(std::size_t i) const { return note(i).state == NoteState::heard; }

  double level(double from_s, double to_s) const {
    const auto& onset = a_.seen.sound().onset;
    const double step = a_.seen.sound().step_s;
    double best = -90;
    for (std::size_t f = static_cast<std::size_t>(std::max(0.0, from_s / step));
         f < onset.size() && static_cast<double>(f) * step <= to_s; ++f) {
      best = std::max(best, static_cast<double>(onset[f].level_db));
    }
    return best;
  }

  // A pitch that an event sounds, or one an octave or a twelfth away from it.
  bool belongs(std::size_t i, int midi) const {
    const Event& e = event(i);
    const auto related = [&](int p) {
      const int away = std::abs(midi - p);
      return away == 0 || away == 12 || away == 19 || away == 24 || away == 7 || away == 5;
    };
    return std::any_of(e.held.begin(), e.held.end(), related) ||
           std::any_of(e.pitches.begin(), e.pitches.end(), related);
  }

  void in_gap(std::size_t i) {
    const double from_s = a_.events[i].sounds_until_s, to_s = a_.events[i].next_s;
    if (to_s - from_s < stable_s || a_.events[i].another_tone) return;
    const double step = a_.seen.step_s();
    const std::size_t from = static_cast<std::size_t>(from_s / step);
    const std::size_t to = std::min(a_.seen.frames(), static_cast<std::size_t>(to_s / step) + 1);
    std::size_t run = 0, best_run = 0, best_end = 0;
    int midi = -1;
    for (std::size_t f = from; f < to; ++f) {
      const int now = a_.seen.pitch().best_midi(f);
      const bool clear = !a_.seen.quiet(f) && a_.seen.pitch().best(f) > least_salience;
      run = clear && now == midi ? run + 1 : (clear ? 1 : 0);
      midi = now;
      if (run > best_run) best_run = run, best_end = f + 1;
    }
    if (static_cast<double>(best_run) * step < stable_s) return;
    const int pitch = a_.seen.pitch().best_midi(best_end - 1);
    if (belongs(i, pitch) || belongs(i + 1, pitch)) return;
    const double begin = static_cast<double>(best_end - best_run) * step;
    const double end = static_cast<double>(best_end) * step;
    if (level(begin, end) < level(a_.events[i].onset_s, from_s) - below_note_db) return;
    if (strongest_onset(a_.onset_evidence, a_.seen.sound().step_s, begin - 0.06, begin + 0.06) <
        0.5)
      return;
    found_.push_back({Seconds(begin), Seconds(end), pitch, note(i).index});
  }

  void struck_again(std::size_t i) {
    const double from = a_.events[i].onset_s + away_from_ends_s;
    const double to = a_.events[i].sounds_until_s - away_from_ends_s;
    const double step = a_.seen.sound().step_s;
    double best = struck_again_attack, at = -1;
    for (std::size_t f = static_cast<std::size_t>(from / step); static_cast<double>(f) * step < to;
         ++f) {
      if (f >= a_.onset_evidence.size()) break;
      const double strength = static_cast<double>(a_.onset_evidence[f]);
      if (strength >= best) best = strength, at = static_cast<double>(f) * step;
    }
    if (at < 0 || level_dip(a_.seen.sound(), at) < struck_again_dip_db) return;
    found_.push_back(
        {Seconds(at), Seconds(a_.events[i].sounds_until_s), note(i).midi, note(i).index});
  }

  const Aligned& a_;
  const Hearing& h_;
  std::vector<ExtraNote> found_;
};

}  // namespace

std::vector<ExtraNote> find_extras(const Aligned& aligned, const Hearing& hearing) {
  return Extras(aligned, hearing).find();
}

}  // namespace endpin::listen
