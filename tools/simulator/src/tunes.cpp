#include "endpin/simulator/tunes.h"

#include <algorithm>
#include <array>
#include <map>

#include "endpin/simulator/random.h"

namespace endpin::simulator {
namespace {

/// Lengths in eighths; negative is a rest.
using Rhythm = std::vector<int>;

const std::vector<Rhythm>& rhythms(int beats) {
  static const std::vector<Rhythm> four{
      {2, 2, 2, 2}, {1, 1, 1, 1, 2, 2},      {4, 2, 2}, {3, 1, 2, 2},
      {2, 1, 1, 4}, {2, 2, 1, 1, 2},         {3, 1, 4}, {1, 1, 2, 1, 1, 2},
      {4, 4},       {1, 1, 1, 1, 1, 1, 1, 1}};
  static const std::vector<Rhythm> three{{2, 2, 2},         {4, 2},       {3, 1, 2},
                                         {1, 1, 2, 2},      {2, 1, 1, 2}, {1, 1, 1, 1, 2},
                                         {1, 1, 1, 1, 1, 1}};
  return beats == 3 ? three : four;
}
const std::vector<Rhythm>& rhythms_with_rest(int beats) {
  static const std::vector<Rhythm> four{{2, 2, 2, -2}, {4, 2, -2}, {2, -2, 2, 2}, {4, -2, 2}};
  static const std::vector<Rhythm> three{{2, 2, -2}, {4, -2}, {2, -2, 2}};
  return beats == 3 ? three : four;
}
/// Two rhythms of as many notes.
std::pair<Rhythm, Rhythm> twins(int beats) {
  return beats == 3 ? std::pair<Rhythm, Rhythm>{{3, 1, 2}, {2, 2, 2}}
                    : std::pair<Rhythm, Rhythm>{{3, 1, 2, 2}, {2, 2, 2, 2}};
}

class Composer {
 public:
  explicit Composer(const TuneOptions& options) : o_(options), random_(options.seed) {
    for (int midi = 24; midi < 90; ++midi) {
      const bool in_key = spell(midi, o_.fifths).alter == in_signature(midi);
      const bool in_range = midi >= o_.lowest_midi && midi <= o_.highest_midi;
      if (in_key && in_range && first_position(o_.instrument, midi)) scale_.push_back(midi);
    }
    place_ = static_cast<int>(scale_.size()) / 2;
  }

  Timeline compose() {
    tune_.title = "Tune of chance";
    tune_.part = o_.instrument;
    tune_.instrument = o_.instrument;
    tune_.tempo = TempoMap(Bpm(o_.bpm));
    tune_.tempo_is_given = true;
    tune_.fifths = o_.fifths;
    const auto [first_twin, second_twin] = twins(o_.beats);
    for (int bar = 0; bar + 1 < o_.bars; ++bar) {
      if (bar == 5 && !twin_pitches_.empty()) {
        add_bar(bar, second_twin, twin_pitches_);
      } else if (bar == 1) {
        twin_pitches_ = melody(static_cast<int>(first_twin.size()));
        add_bar(bar, first_twin, twin_pitches_);
      } else {
        const auto& rhythm = some_rhythm();
        add_bar(bar, rhythm, melody(static_cast<int>(rhythm.size())));
      }
    }
    add_bar(o_.bars - 1, {2 * o_.beats}, {last_tonic()});
    mark();
    if (o_.repeat) repeat_first_half();
    return std::move(tune_);
  }

 private:
  /// The alteration that the key signature gives to the note that `midi` would be spelled as.
  int in_signature(int midi) const {
    const auto pitch = spell(midi, o_.fifths);
    const int natural = line_of_fifths({pitch.step, 0, pitch.octave});  // F -1 … B 5
    if (o_.fifths >= 0) return natural + 1 < o_.fifths ? 1 : 0;
    return 5 - natural < -o_.fifths ? -1 : 0;
  }

  const Rhythm& some_rhythm() {
    const bool rest = o_.rests && random_.chance(0.25);
    const auto& pool = rest ? rhythms_with_rest(o_.beats) : rhythms(o_.beats);
    return pool[static_cast<std::size_t>(random_.whole(0, static_cast<int>(pool.size()) - 1))];
  }

  std::vector<int> melody(int notes) {
    static constexpr std::array<int, 12> moves{1, -1, 1, -1, 1, -1, 2, -2, 0, 3, -3, 4};
    std::vector<int> pitches;
    const int top = static_cast<int>(scale_.size()) - 1;
    for (int i = 0; i < notes; ++i) {
      place_ += moves[static_cast<std::size_t>(random_.whole(0, 11))];
      if (place_ < 0) place_ = std::min(1 - place_, top);
      if (place_ > top) place_ = std::max(2 * top - place_, 0);
      pitches.push_back(scale_[static_cast<std::size_t>(place_)]);
    }
    return pitches;
  }

  int last_tonic() const {
    const int tonic = (((7 * o_.fifths) % 12) + 12) % 12;
    int best = scale_.front();
    for (const int midi : scale_) {
      const bool nearer = std::abs(midi - scale_[static_cast<std::size_t>(place_)]) <
                          std::abs(best - scale_[static_cast<std::size_t>(place_)]);
      if (midi % 12 == tonic && (best % 12 != tonic || nearer)) best = midi;
    }
    return best;
  }

  void add_bar(int bar, const Rhythm& rhythm, const std::vector<int>& pitches) {
    const Beats start = Beats(o_.beats) * Beats(bar);
    const auto number = std::to_string(bar + 1);
    tune_.bars.push_back({number, bar, 1, start, Beats(o_.beats), o_.beats, 4});
    Beats at = start;
    for (std::size_t i = 0; i < rhythm.size(); ++i) {
      const Beats length(std::abs(rhythm[i]), 2);
      if (rhythm[i] > 0) add_note(number, at, length, pitches[i]);
      at += length;
    }
  }

  void add_note(const std::string& bar, Beats at, Beats length, int midi) {
    TimelineNote note;
    note.index = static_cast<int>(tune_.notes.size());
    note.id = "n" + std::to_string(note.index);
    note.bar = bar;
    note.onset = at;
    note.duration = length;
    set_pitch(note, midi);
    tune_.notes.push_back(note);
  }

  void set_pitch(TimelineNote& note, int midi) {
    note.midi = midi;
    note.spelled = spell(midi, o_.fifths);
    const auto stop = first_position(o_.instrument, midi);
    note.string = stop->string;
    note.finger = stop->finger;
    note.open = stop->finger == 0;
  }

  /// Slurs over two to four notes of a bar, dots on quarters, accidentals.
  void mark() {
    int slur = 0;
    for (std::size_t i = 0; i + 1 < tune_.notes.size(); ++i) {
      if (o_.slurs && random_.chance(0.3) && may_slur(i)) {
        tune_.notes[i].slur_id = tune_.notes[i + 1].slur_id = ++slur;
        if (may_slur(i + 1) && random_.chance(0.4)) tune_.notes[++i + 1].slur_id = slur;
        ++i;
        continue;
      }
      auto& note = tune_.notes[i];
      if (o_.staccato && note.duration == Beats(1) && random_.chance(0.12)) {
        note.articulation = Articulation::staccato;
      }
      if (o_.chromatic && !is_twin(note) && random_.chance(0.05)) sharpen(i);
    }
  }
  static bool is_twin(const TimelineNote& note) { return note.bar == "2" || note.bar == "6"; }

  bool may_slur(std::size_t i) const {
    if (i + 1 >= tune_.notes.size()) return false;
    const auto& a = tune_.notes[i];
    const auto& b = tune_.notes[i + 1];
    return a.bar == b.bar && a.onset + a.duration == b.onset && a.midi != b.midi &&
           a.duration <= Beats(2) && !is_twin(a);
  }

  /// A leading note, where it leads: a semitone up into the next.
  void sharpen(std::size_t i) {
    const auto& next = tune_.notes[i + 1];
    auto& note = tune_.notes[i];
    if (next.midi - note.midi != 2 || !first_position(o_.instrument, note.midi + 1)) return;
    auto spelled = note.spelled;
    ++spelled.alter;
    set_pitch(note, note.midi + 1);
    note.spelled = spelled;
  }

  void repeat_first_half() {
    const auto half = static_cast<std::size_t>(o_.bars) / 2;
    const Beats length = Beats(o_.beats) * Beats(static_cast<std::int64_t>(half));
    const auto old = std::move(tune_);
    tune_ = old;
    tune_.notes.clear();
    tune_.bars.clear();
    copy(old, Beats(0), length, Beats(0), 1);
    copy(old, Beats(0), length, length, 2);
    copy(old, length, old.end(), length, 1);
  }
  void copy(const Timeline& from, Beats begin, Beats end, Beats shift, int pass) {
    for (auto bar : from.bars) {
      if (bar.start < begin || bar.start >= end) continue;
      bar.start += shift;
      bar.pass = pass;
      tune_.bars.push_back(bar);
    }
    for (auto note : from.notes) {
      if (note.onset < begin || note.onset >= end) continue;
      note.onset += shift;
      note.pass = pass;
      note.index = static_cast<int>(tune_.notes.size());
      if (note.slur_id) *note.slur_id += shift == Beats(0) ? 0 : 1000 * pass;
      tune_.notes.push_back(note);
    }
  }

  const TuneOptions& o_;
  Random random_;
  std::vector<int> scale_;
  int place_ = 0;
  std::vector<int> twin_pitches_;
  Timeline tune_;
};

/// Fingers over the open string, by semitone; -1 out of the hand's reach in first position.
const std::vector<int>& hand(const std::string& instrument) {
  static const std::vector<int> violin{0, 1, 1, 2, 2, 3, 3, 4};
  static const std::vector<int> cello{0, 1, 1, 2, 3, 4, 4};
  static const std::vector<int> bass{0, 1, 1, 2, 4};
  return instrument == "cello" ? cello : instrument == "bass" ? bass : violin;
}

}  // namespace

const std::vector<int>& open_strings(const std::string& instrument) {
  static const std::map<std::string, std::vector<int>> strings{{"violin", {76, 69, 62, 55}},
                                                               {"viola", {69, 62, 55, 48}},
                                                               {"cello", {57, 50, 43, 36}},
                                                               {"bass", {43, 38, 33, 28}}};
  return strings.at(instrument);
}

std::optional<Stop> first_position(const std::string& instrument, int midi) {
  const auto& strings = open_strings(instrument);
  const auto& fingers = hand(instrument);
  for (std::size_t s = 0; s < strings.size(); ++s) {
    const int above = midi - strings[s];
    if (above < 0) continue;
    if (above >= static_cast<int>(fingers.size())) return std::nullopt;
    return Stop{static_cast<int>(s) + 1, fingers[static_cast<std::size_t>(above)]};
  }
  return std::nullopt;
}

Timeline random_tune(const TuneOptions& options) { return Composer(options).compose(); }

}  // namespace endpin::simulator
