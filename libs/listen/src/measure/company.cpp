#include "measure/company.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace endpin::listen {
namespace {

constexpr int strong = 115;      // of 255, sixth roots of power: 21 dB below the frame's strongest
constexpr int clear_db = 25;     // above its surroundings: noise has no such partials (ours)
constexpr double edge_s = 0.05;  // that the window blurs
constexpr std::size_t rings_for = 3;  // notes
constexpr std::size_t every = 3;      // frames overlap by far more

bool is_harmonic(double partial, double midi) {
  const double ratio = std::exp2((partial - midi) / 12);
  return std::abs(1200 * std::log2(ratio / std::max(1.0, std::round(ratio)))) < 50;
}

class Others {
 public:
  Others(const Aligned& aligned, const Hearing& hearing) : a_(aligned), h_(hearing) {}

  /// Mean of the notes that were heard.
  double share() const {
    double sum = 0, notes = 0;
    for (std::size_t i = 0; i < a_.events.size(); ++i) {
      if (a_.events[i].left_out || !heard(i)) continue;
      const double share = share_beside(i);
      if (share >= 0) sum += share, ++notes;
    }
    return notes > 0 ? sum / notes : 0;
  }

 private:
  bool heard(std::size_t i) const {
    const auto& notes = a_.event(i).notes;
    return std::all_of(notes.begin(), notes.end(), [&](int place) {
      return h_.notes[static_cast<std::size_t>(place)].state == NoteState::heard;
    });
  }

  std::vector<int> written_around(std::size_t i) const {
    std::vector<int> pitches = a_.event(i).held;
    const std::size_t to = std::min(a_.events.size(), i + 2);
    for (std::size_t j = i - std::min(i, rings_for); j < to; ++j) {
      const auto& p = a_.event(j).pitches;
      pitches.insert(pitches.end(), p.begin(), p.end());
    }
    return pitches;
  }

  // Negative: too short to say.
  double share_beside(std::size_t i) const {
    const std::vector<int> written = written_around(i);
    const double step = a_.seen.step_s(), to_s = a_.events[i].sounds_until_s - edge_s;
    double all = 0, beside = 0;
    for (auto f = static_cast<std::size_t>((a_.events[i].onset_s + edge_s) / step);
         f < a_.seen.frames() && static_cast<double>(f) * step < to_s; f += every) {
      if (a_.seen.quiet(f)) continue;
      for (const SmallPartial& p : a_.seen.sound().partials_at(f)) {
        if (p.weight < strong) continue;
        all += p.weight;
        const double place = partial_midi(p) - a_.shift_cents / 100;
        const bool known =
            p.clarity < clear_db || std::any_of(written.begin(), written.end(),
                                                [&](int midi) { return is_harmonic(place, midi); });
        if (!known) beside += p.weight;
      }
    }
    return all > 0 ? beside / all : -1;
  }

  const Aligned& a_;
  const Hearing& h_;
};

}  // namespace

double share_of_others(const Aligned& aligned, const Hearing& hearing) {
  return Others(aligned, hearing).share();
}

}  // namespace endpin::listen
