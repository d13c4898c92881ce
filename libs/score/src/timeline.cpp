#include "endpin/timeline/timeline.h"

#include <algorithm>
#include <map>
#include <tuple>
#include <utility>

#include "endpin/score/unfold.h"

#include "played_tempo.h"
#include "slurs.h"
#include "sounding_pitches.h"

namespace endpin {
namespace {

Articulation strongest(const Note& note, bool slurred) {
  const auto has = [&](Articulation a) {
    return std::find(note.articulations.begin(), note.articulations.end(), a) !=
           note.articulations.end();
  };
  const bool dot = has(Articulation::staccato);
  if (has(Articulation::staccatissimo)) return Articulation::staccatissimo;
  if (has(Articulation::portato) || (dot && (has(Articulation::tenuto) || slurred))) {
    return Articulation::portato;
  }
  if (dot) return Articulation::staccato;
  for (const Articulation a : {Articulation::spiccato, Articulation::marcato, Articulation::accent,
                               Articulation::tenuto}) {
    if (has(a)) return a;
  }
  return Articulation::none;
}

/// Walks the played order and collects what sounds.
class Player {
 public:
  Player(const Part& part, std::string_view instrument)
      : part_(part),
        pitches_(part, instrument),
        slurs_(slur_table(part)),
        contexts_(contexts(part)) {}

  void play(const PlayedOrder& order, Timeline& timeline) {
    int before = -1;
    for (const PlayedBar& played : order.bars) {
      if (played.bar != before + 1) broken_off();
      before = played.bar;
      play_bar(played, timeline);
    }
    finish(timeline.notes);
  }

 private:
  void broken_off() { slur_ids_.clear(); }

  void play_bar(const PlayedBar& played, Timeline& timeline) {
    const Bar& bar = part_.bars[played.bar];
    const TimeSignature& time = contexts_[played.bar].time;
    timeline.bars.push_back(
        {bar.number, played.bar, played.pass, start_, bar.length, time.beats, time.beat_type});
    for (int n = 0; n < static_cast<int>(bar.notes.size()); ++n) {
      const Note& note = bar.notes[n];
      if (note.cue || note.is_rest() || note.unpitched) continue;
      if (note.grace) {
        if (!note.in_chord) ++graces_[note.voice];
        continue;
      }
      const auto pitch = pitches_.of(played.bar, n);
      if (!pitch || note.duration <= Beats(0) || joins(note, pitch->midi())) continue;
      sound(played, n, *pitch, timeline.notes);
    }
    start_ += bar.length;
  }

  /// Lengthens the note that is tied to this one.
  bool joins(const Note& note, int midi) {
    const auto held = held_.find({midi, start_ + note.onset});
    if (held == held_.end()) return false;
    const std::size_t index = held->second;
    held_.erase(held);
    TimelineNote& first = (*notes_)[index];
    first.duration += note.duration;
    first.fermata = first.fermata || note.fermata;
    if (note.tie_start) held_.insert({{midi, first.onset + first.duration}, index});
    return true;
  }

  void sound(const PlayedBar& played, int n, SpelledPitch pitch, std::vector<TimelineNote>& notes) {
    notes_ = &notes;
    const Bar& bar = part_.bars[played.bar];
    const Note& note = bar.notes[n];
    TimelineNote out;
    out.id = note.id;
    out.bar = bar.number;
    out.pass = played.pass;
    out.onset = start_ + note.onset;
    out.duration = note.duration;
    out.spelled = pitch;
    out.midi = out.spelled.midi();
    const int slur = slurs_[played.bar][n];
    if (slur >= 0) out.slur_id = slur_id(slur);
    mark(note, out);
    if (note.tie_start) held_.insert({{out.midi, out.onset + out.duration}, notes.size()});
    notes.push_back(std::move(out));
  }

  void mark(const Note& note, TimelineNote& out) {
    out.string = note.printed.string;
    if (!note.printed.fingers.empty()) out.finger = note.printed.fingers.front();
    if (note.printed.thumb) out.finger = 5;
    out.open = note.printed.open_string || out.finger == 0;
    if (out.open) out.finger = 0;
    out.harmonic = note.harmonic || note.artificial_harmonic;
    out.plucked = note.plucked;
    out.articulation = strongest(note, out.slur_id.has_value());
    out.ornament = note.ornament;
    out.graces_before = std::exchange(graces_[note.voice], 0);
    out.fermata = note.fermata;
    out.voice = note.voice;
  }

  int slur_id(int written) {
    const auto [place, fresh] = slur_ids_.try_emplace(written, next_slur_);
    if (fresh) ++next_slur_;
    return place->second;
  }

  static void finish(std::vector<TimelineNote>& notes) {
    std::stable_sort(notes.begin(), notes.end(), [](const TimelineNote& a, const TimelineNote& b) {
      return a.onset != b.onset ? a.onset < b.onset : a.midi < b.midi;
    });
    for (std::size_t i = 0; i < notes.size(); ++i) notes[i].index = static_cast<int>(i);
    number_chords_and_strokes(notes);
  }

  /// Notes that start together are one chord and one stroke; a slur carries its stroke on.
  static void number_chords_and_strokes(std::vector<TimelineNote>& notes) {
    std::map<int, int> stroke_of_slur;
    int chords = 0;
    int strokes = 0;
    for (std::size_t first = 0; first < notes.size();) {
      std::size_t end = first;
      std::optional<int> stroke;
      while (end < notes.size() && notes[end].onset == notes[first].onset) {
        const auto open =
            notes[end].slur_id ? stroke_of_slur.find(*notes[end].slur_id) : stroke_of_slur.end();
        if (open != stroke_of_slur.end()) stroke = open->second;
        ++end;
      }
      const int own = stroke ? *stroke : strokes++;
      for (std::size_t i = first; i < end; ++i) {
        if (!notes[i].plucked) notes[i].stroke_id = own;
        if (end - first > 1) notes[i].chord_id = chords;
        if (notes[i].slur_id) stroke_of_slur.emplace(*notes[i].slur_id, own);
      }
      chords += end - first > 1 ? 1 : 0;
      first = end;
    }
  }

  const Part& part_;
  SoundingPitches pitches_;
  SlurTable slurs_;
  std::vector<Context> contexts_;
  std::vector<TimelineNote>* notes_ = nullptr;
  Beats start_;
  std::multimap<std::pair<int, Beats>, std::size_t> held_;  // tied on: pitch and end → note
  std::map<int, int> slur_ids_;                             // written slur → this pass's id
  std::map<int, int> graces_;                               // by voice, waiting for their note
  int next_slur_ = 0;
};

}  // namespace

Result<Timeline> timeline(const Score& score, int part_index, std::string_view instrument) {
  const Part& part = score.parts[static_cast<std::size_t>(part_index)];
  Timeline timeline;
  timeline.title = score.title;
  timeline.part = part.name;
  timeline.instrument = instrument.empty() ? guess_instrument(part) : std::string(instrument);
  const Transposition transpose = sounding_transposition(part, timeline.instrument);
  const PlayedOrder order = unfold(part);
  Player(part, timeline.instrument).play(order, timeline);
  if (timeline.notes.empty()) {
    return Unexpected(Error{ErrorKind::input, "", part.name.empty() ? "" : "part " + part.name,
                            "no note sounds in it",
                            "Choose another part with --part, or give a score with notes."});
  }
  const std::vector<Context> all = contexts(part);
  const SpelledPitch moved = sounding({Step::c, 0, 4}, transpose);
  timeline.fifths = all.front().key.fifths + line_of_fifths(moved);
  timeline.minor = all.front().key.mode == "minor" || all.front().key.mode == "aeolian";
  set_tempo(score, part_index, order, timeline);
  return timeline;
}

}  // namespace endpin
