#include "endpin/score/check.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>
#include <tuple>

#include "endpin/score/unfold.h"

#include "check_bars.h"
#include "fmt/format.h"
#include "sounding_pitches.h"

namespace endpin {
namespace {

using Pitches = std::set<int>;

/// The pitches that begin at the beginning of a bar.
Pitches first_pitches(const Bar& bar) {
  Pitches pitches;
  for (const Note& note : bar.notes) {
    if (!note.is_rest() && !note.grace && note.onset == Beats(0)) pitches.insert(note.pitch.midi());
  }
  return pitches;
}

/// Where playing may go on after bar `i`: the next bar, and after the bar before an ending the
/// others of its group. Nothing is said of a tie that a jump may carry elsewhere.
bool may_leave(const Part& part, std::size_t i) {
  const Navigation& here = part.bars[i].navigation;
  return here.repeat_end || here.da_capo || here.dal_segno || here.to_coda || here.ending_stops ||
         i + 1 >= part.bars.size();
}

bool continues_inside(const Bar& bar, const Note& tied) {
  const Beats end = tied.onset + tied.duration;
  return std::any_of(bar.notes.begin(), bar.notes.end(), [&](const Note& note) {
    return !note.is_rest() && !note.grace && note.onset == end &&
           note.pitch.midi() == tied.pitch.midi();
  });
}

void check_ties(const Score& score, const Part& part, std::vector<Warning>& warnings) {
  for (std::size_t i = 0; i < part.bars.size(); ++i) {
    const Bar& bar = part.bars[i];
    std::optional<Pitches> next;
    for (const Note& note : bar.notes) {
      if (!note.tie_start || note.grace || note.is_rest()) continue;
      const bool at_end = note.onset + note.duration >= bar.length;
      if (at_end && may_leave(part, i)) continue;
      if (at_end && !next) next = first_pitches(part.bars[i + 1]);
      const bool goes_on =
          at_end ? next->count(note.pitch.midi()) > 0 : continues_inside(bar, note);
      if (goes_on) continue;
      warnings.push_back({place_of(bar, note.line),
                          fmt::format("{}: the tie from {} leads to no note of that pitch",
                                      bar_in_words(score, part, bar), note.pitch.pretty()),
                          "Take it out, make it a slur, or correct the next note."});
    }
  }
}

struct Range {
  std::string_view instrument;
  int lowest;
  int highest;
};
// Lowest strings by handbook tuning, the bass's with the low C extension. Upper ends: about the
// last notes of the fingerboard (practice).
constexpr std::array<Range, 4> ranges{
    {{"violin", 55, 105}, {"viola", 48, 98}, {"cello", 36, 93}, {"bass", 24, 79}}};

void check_range(const Score& score, const Part& part, std::vector<Warning>& warnings) {
  const std::string instrument = guess_instrument(part);
  const auto range = std::find_if(ranges.begin(), ranges.end(),
                                  [&](const Range& r) { return r.instrument == instrument; });
  if (range == ranges.end()) return;
  const SoundingPitches pitches(part, instrument);
  int outside = 0;
  std::optional<Warning> first;
  for (std::size_t b = 0; b < part.bars.size(); ++b) {
    const Bar& bar = part.bars[b];
    for (const Note& note : bar.notes) {
      if (note.is_rest() || note.unpitched || note.cue || note.artificial_harmonic) continue;
      const SpelledPitch pitch =
          sounding(note.pitch, pitches.transposition(static_cast<int>(b), note.onset));
      if (pitch.midi() >= range->lowest && pitch.midi() <= range->highest) continue;
      ++outside;
      if (first) continue;
      first = Warning{place_of(bar, note.line),
                      fmt::format("{}: {} lies outside the {}'s range",
                                  bar_in_words(score, part, bar), pitch.pretty(), instrument),
                      "Check the octave, the clef and the instrument."};
    }
  }
  if (!first) return;
  if (outside > 1) first->what += fmt::format(" (and {} more)", outside - 1);
  warnings.push_back(*first);
}

/// A note that begins while one of its own voice, or one of its pitch in another, still sounds.
void check_collisions(const Score& score, const Part& part, std::vector<Warning>& warnings) {
  for (const Bar& bar : part.bars) {
    std::map<std::pair<int, int>, Beats> voice_ends;                // by voice and staff
    std::map<int, std::tuple<Beats, Beats, int>> sounding_pitches;  // onset, end, voice
    bool said = false;
    for (const Note& note : bar.notes) {
      if (said || note.grace || note.cue || note.is_rest() || note.in_chord) continue;
      Beats& voice_end = voice_ends[{note.voice, note.staff}];
      const bool own = note.onset < voice_end;
      bool other = false;
      const auto same = sounding_pitches.find(note.pitch.midi());
      if (same != sounding_pitches.end() && !note.unpitched) {
        const auto& [onset, until, voice] = same->second;
        other = voice != note.voice && onset < note.onset && note.onset < until;
      }
      voice_end = std::max(voice_end, note.onset + note.duration);
      const Beats end = note.onset + note.duration;
      if (same == sounding_pitches.end() || std::get<1>(same->second) < end) {
        sounding_pitches[note.pitch.midi()] = {note.onset, end, note.voice};
      }
      if (!own && !other) continue;
      said = true;
      warnings.push_back({place_of(bar, note.line),
                          fmt::format("{}: {} begins while {}", bar_in_words(score, part, bar),
                                      note.pitch.pretty(),
                                      own ? fmt::format("voice {} still sounds", note.voice)
                                          : std::string("another voice still holds it")),
                          own ? "Put it into another voice, or shorten the note before."
                              : "Shorten the note that is held."});
    }
  }
}

/// Notes drawn as another value than they last; the shorter must be three quarters of the longer at
/// most, so that rounded tuplets pass.
void check_looks(const Score& score, const Part& part, std::vector<Warning>& warnings) {
  int others = -1;
  std::optional<Warning> first;
  for (const Bar& bar : part.bars) {
    for (const Note& note : bar.notes) {
      if (!note.written || note.grace || note.cue || note.is_rest()) continue;
      const double looks = note.written->beats().to_double();
      const double lasts = note.duration.to_double();
      if (std::min(looks, lasts) > 0.75 * std::max(looks, lasts)) continue;
      ++others;
      if (first) continue;
      first = Warning{
          place_of(bar, note.line),
          fmt::format("{}: {} is drawn as {} quarters but lasts {}", bar_in_words(score, part, bar),
                      note.pitch.pretty(), note.written->beats().text(), note.duration.text()),
          "Its length was taken: correct it, or the way it is drawn."};
    }
  }
  if (!first) return;
  if (others > 0) first->what += fmt::format(" (and {} more)", others);
  warnings.push_back(*first);
}

}  // namespace

std::vector<Warning> check_notation(const Score& score) {
  std::vector<Warning> warnings;
  check_bar_lengths(score, warnings);
  for (const Part& part : score.parts) {
    check_ties(score, part, warnings);
    check_range(score, part, warnings);
    check_collisions(score, part, warnings);
    check_looks(score, part, warnings);
  }
  return warnings;
}

}  // namespace endpin
