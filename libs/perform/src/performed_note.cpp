#include "endpin/perform/performed_note.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string_view>

namespace endpin {
namespace {

// Chosen: just enough for a bar to have a first beat.
constexpr double first_beat_gain = 1.08;
constexpr double accent_gain = 1.35;
// Natural variation from note to note, at most this much either way (0.4 dB).
constexpr double variation = 0.05;

/// The note that follows `note` in its voice, if one begins where it ends.
const TimelineNote* follower(const Timeline& timeline, const TimelineNote& note) {
  const Beats end = note.onset + note.duration;
  for (std::size_t i = static_cast<std::size_t>(note.index) + 1; i < timeline.notes.size(); ++i) {
    const TimelineNote& other = timeline.notes[i];
    if (other.onset > end) return nullptr;
    if (other.onset == end && other.voice == note.voice) return &other;
  }
  return nullptr;
}

bool same(const std::optional<int>& a, const std::optional<int>& b) { return a && b && *a == *b; }

bool cut_short(Articulation articulation) {
  return articulation == Articulation::staccato || articulation == Articulation::staccatissimo ||
         articulation == Articulation::portato || articulation == Articulation::spiccato;
}

/// Whether `next` is a pitch change inside the stroke of `note`.
bool joins(const TimelineNote& note, const TimelineNote* next) {
  return next != nullptr && same(note.slur_id, next->slur_id) && !note.plucked && !next->plucked &&
         !cut_short(note.articulation) && note.midi != next->midi;
}

double fraction(const TimelineNote& note, const TimelineNote* next, const SoundingFractions& all) {
  switch (note.articulation) {
    case Articulation::staccato:
      return all.staccato;
    case Articulation::staccatissimo:
      return all.staccatissimo;
    case Articulation::portato:
      return all.portato;
    case Articulation::spiccato:
      return all.spiccato;
    case Articulation::tenuto:
      return all.tenuto;
    default:
      break;
  }
  if (next != nullptr && same(note.slur_id, next->slur_id)) return all.slurred;
  if (next != nullptr && same(note.stroke_id, next->stroke_id)) return all.hooked;
  if (note.articulation == Articulation::marcato) return all.marcato;
  return note.duration < all.long_from ? all.separate : all.held;
}

bool on_first_beat(const Timeline& timeline, Beats onset) {
  return std::any_of(timeline.bars.begin(), timeline.bars.end(),
                     [&](const TimelineBar& bar) { return bar.start == onset; });
}

double gain(const Timeline& timeline, const TimelineNote& note) {
  double gain = 1;
  if (on_first_beat(timeline, note.onset)) gain *= first_beat_gain;
  if (note.articulation == Articulation::accent || note.articulation == Articulation::marcato) {
    gain *= accent_gain;
  }
  // A fixed scatter: multiples of the golden ratio spread evenly over 0 … 1.
  const double scatter = std::fmod(note.index * 0.6180339887498949, 1.0);
  return gain * (1 + variation * (2 * scatter - 1));
}

}  // namespace

std::vector<PerformedNote> performed_notes(const Timeline& timeline, const TempoMap& tempo,
                                           Beats origin, Seconds start, int from, int to,
                                           const SoundingFractions& fractions) {
  const auto at = [&](Beats place) {
    return start + (tempo.seconds_at(place) - tempo.seconds_at(origin));
  };
  std::vector<PerformedNote> performed;
  std::vector<bool> joined(timeline.notes.size());
  for (int i = from; i <= to; ++i) {
    const TimelineNote& note = timeline.notes[static_cast<std::size_t>(i)];
    const TimelineNote* next = follower(timeline, note);
    PerformedNote out;
    out.index = note.index;
    out.midi = note.midi;
    out.technique = note.plucked ? Technique::plucked : Technique::bowed;
    out.start = at(note.onset);
    out.value_end = at(note.onset + note.duration);
    out.end = out.start + (out.value_end - out.start) * fraction(note, next, fractions);
    out.joined_before = joined[static_cast<std::size_t>(i)];
    out.joined_after = joins(note, next) && next->index <= to;
    if (out.joined_after) joined[static_cast<std::size_t>(next->index)] = true;
    out.gain = gain(timeline, note);
    performed.push_back(out);
  }
  return performed;
}

}  // namespace endpin
