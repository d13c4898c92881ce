#include "endpin/lesson/warm_up.h"

#include <algorithm>
#include <map>
#include <set>

#include "endpin/lesson/recipes.h"

#include "scale_run.h"

namespace endpin {
namespace {

// What one note of a slow scale lasts: two beats where the bar has four, else one.
Beats slow_value(const TimeSignature& time) {
  const Beats beat = beat_of(time);
  return time.bar_length() == beat * Beats(4) ? beat * Beats(2) : beat;
}

class Maker {
 public:
  explicit Maker(const Material& material)
      : material_(material),
        time_(contexts(material.written()).front().time),
        transposition_(material.transposition()),
        key_(key_of(material)),
        run_(playable_scale(material)) {}

  std::vector<WarmUp> make() {
    crossing();
    scale();
    rhythm_scale();
    finger_pattern();
    arpeggio();
    bow();
    return std::move(made_);
  }

 private:
  SpelledPitch written(SpelledPitch pitch) const { return written_pitch(pitch, transposition_); }

  std::map<std::string, std::string> key_args() const {
    const SpelledPitch tonic = key_.tonic(4);
    const std::string text = tonic.text();
    return {{"tonic", text.substr(0, text.size() - 1)}};
  }

  std::string mode() const { return key_.minor ? "minor" : "major"; }

  // All of one value; the last one lasts to the end of its bar.
  Phrase even(const std::vector<SpelledPitch>& pitches, Beats value) const {
    Phrase phrase;
    for (const SpelledPitch pitch : pitches) phrase.push_back(line_note(written(pitch), value));
    return hold_last(std::move(phrase));
  }

  Phrase hold_last(Phrase phrase) const {
    const Beats bar = time_.bar_length();
    const Beats over = length(phrase) / bar;
    const Beats whole((over.numerator() + over.denominator() - 1) / over.denominator());
    phrase.back().duration += whole * bar - length(phrase);
    return phrase;
  }

  void add(std::string recipe, Sentence title, Sentence listen, Phrase phrase) {
    made_.push_back(
        {std::move(recipe), std::move(title), std::move(listen), {std::move(phrase)}, time_});
  }

  // Up and down; the top is repeated where that makes the last note begin a bar.
  std::vector<SpelledPitch> up_and_down(Beats value) const {
    std::vector<SpelledPitch> pitches = run_.up;
    const auto begins_bar = [&](std::size_t notes_before) {
      return (Beats(static_cast<std::int64_t>(notes_before)) * value / time_.bar_length())
                 .denominator() == 1;
    };
    const std::size_t once = 2 * run_.up.size() - 2;
    const bool repeat_top = !begins_bar(once) && begins_bar(once + 1);
    pitches.insert(pitches.end(), run_.down.begin() + (repeat_top ? 0 : 1), run_.down.end());
    return pitches;
  }

  void scale() {
    if (run_.up.empty()) return;
    const Beats value = slow_value(time_);
    add("scale", {run_.octave ? "warm-up.scale." + mode() : "warm-up.notes." + mode(), key_args()},
        {"warm-up.scale.listen", {}}, even(up_and_down(value), value));
  }

  // The rhythm's notes take the scale's one after the other.
  void rhythm_scale() {
    const auto rhythm = typical_rhythm(material_.written());
    if (!rhythm || run_.up.empty()) return;
    const std::vector<SpelledPitch> pitches = up_and_down(Beats(1));
    Phrase phrase;
    for (std::size_t next = 0; next < pitches.size();) {
      for (const LineNote& t : *rhythm) {
        if (next == pitches.size()) break;
        phrase.push_back(t.pitch ? line_note(written(pitches[next++]), t.duration)
                                 : line_rest(t.duration));
      }
    }
    add("rhythm-scale", {"warm-up.rhythm-scale." + mode(), key_args()},
        {"warm-up.rhythm-scale.listen", {}}, hold_last(std::move(phrase)));
  }

  void arpeggio() {
    if (!run_.octave) return;
    const auto& up = run_.up;
    add("arpeggio", {"warm-up.arpeggio." + mode(), key_args()}, {"warm-up.arpeggio.listen", {}},
        even({up[0], up[2], up[4], up[7], up[4], up[2], up[0]}, beat_of(time_)));
  }

  // The sharp or flat that the piece has most often, as it sounds.
  std::optional<SpelledPitch> altered_note() const {
    std::map<int, int> times;
    std::optional<SpelledPitch> best;
    int most = 0;
    for (const TimelineNote& note : material_.timeline->notes) {
      if (note.spelled.alter == 0) continue;
      const int count = ++times[note.midi];
      if (count > most) {
        most = count;
        best = note.spelled;
      }
    }
    return best;
  }

  // The letter's neighbour in the key.
  SpelledPitch neighbour(SpelledPitch pitch, int steps) const {
    const ScaleKey letters{key_.fifths, false};
    return letters.above({pitch.step, 0, pitch.octave}, steps);
  }

  void finger_pattern() {
    const auto pitch = altered_note();
    if (!pitch) return;
    const SpelledPitch low = neighbour(*pitch, -1);
    const SpelledPitch high = neighbour(*pitch, 1);
    if (!material_.playable(*pitch) || !material_.playable(low)) return;
    std::vector<SpelledPitch> pitches{low, *pitch, low, *pitch, low};
    if (material_.playable(high)) pitches = {low, *pitch, high, *pitch, low, *pitch, low};
    const std::string text = pitch->text();
    add("finger-pattern", {"warm-up.finger-pattern", {{"note", text.substr(0, text.size() - 1)}}},
        {"warm-up.finger-pattern.listen", {}}, even(pitches, beat_of(time_)));
  }

  // The string on which each note is learnt first, counted.
  std::map<int, int> strings_used() const {
    std::map<int, int> used;
    for (const TimelineNote& note : material_.timeline->notes) {
      const auto stop = first_learnt_stop(*material_.instrument, note.spelled);
      if (stop) ++used[note.string.value_or(stop->string)];
    }
    return used;
  }

  // The two neighbouring strings that the piece uses most, the lower one first.
  void crossing() {
    const std::map<int, int> used = strings_used();
    int best = 0;
    int most = 0;
    for (int low = 2; low <= 4; ++low) {
      if (!used.contains(low) || !used.contains(low - 1)) continue;
      const int count = used.at(low) + used.at(low - 1);
      if (count > most) {
        most = count;
        best = low;
      }
    }
    if (best == 0) return;
    const SpelledPitch low = material_.instrument->open(best);
    const SpelledPitch high = material_.instrument->open(best - 1);
    const std::string letters[] = {string_letter(*material_.instrument, best),
                                   string_letter(*material_.instrument, best - 1)};
    add("crossing", {"warm-up.crossing", {{"low", letters[0]}, {"high", letters[1]}}},
        {"warm-up.crossing.listen", {}},
        even({low, low, high, high, low, high, low, high, low}, beat_of(time_)));
  }

  // Long and short strokes on one string: the whole bow, then half of it.
  void bow() {
    const std::map<int, int> used = strings_used();
    if (used.empty()) return;
    const auto most = std::max_element(used.begin(), used.end(),
                                       [](auto a, auto b) { return a.second < b.second; });
    const SpelledPitch open = written(material_.instrument->open(most->first));
    const Beats beat = beat_of(time_);
    const Beats bar = time_.bar_length();
    Phrase phrase{line_note(open, bar)};
    for (Beats at; at < bar; at += beat)
      phrase.push_back(line_note(open, std::min(beat, bar - at)));
    phrase.push_back(line_note(open, bar));
    add("bow", {"warm-up.bow", {{"string", string_letter(*material_.instrument, most->first)}}},
        {"warm-up.bow.listen", {}}, std::move(phrase));
  }

  const Material& material_;
  TimeSignature time_;
  Transposition transposition_;
  ScaleKey key_;
  ScaleRun run_;
  std::vector<WarmUp> made_;
};

using Rhythm = std::vector<std::pair<Beats, bool>>;

Rhythm rhythm_of(const Phrase& line) {
  Rhythm rhythm;
  for (const LineNote& t : line) rhythm.emplace_back(t.duration, t.pitch.has_value());
  return rhythm;
}

bool is_uneven(const Phrase& line) {
  std::set<Beats> values;
  for (const LineNote& t : line) {
    if (!t.pitch || t.in_tuplet() || t.tie_start || t.tie_stop) return false;
    values.insert(t.duration);
  }
  return values.size() > 1;
}

}  // namespace

std::optional<Phrase> typical_rhythm(const Part& part) {
  const std::vector<Context> context = contexts(part);
  std::map<Rhythm, int> times;
  std::optional<Phrase> best;
  int most = 0;
  for (std::size_t i = 0; i < part.bars.size(); ++i) {
    const Bar& bar = part.bars[i];
    const bool full = bar.length == context.front().time.bar_length();
    const Phrase line = line_of(bar);
    if (!full || !is_uneven(line)) continue;
    const int count = ++times[rhythm_of(line)];
    if (count > most) {
      most = count;
      best = line;
    }
  }
  return best;
}

std::vector<WarmUp> warm_ups(const Material& material) { return Maker(material).make(); }

}  // namespace endpin
