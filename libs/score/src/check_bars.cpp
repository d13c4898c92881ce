#include "check_bars.h"

#include <algorithm>

#include "endpin/score/check.h"

#include "fmt/format.h"

namespace endpin {
namespace {

/// "3 1/2" for seven eighths of a 4/4 bar.
std::string in_beats(Beats length, int beat_type) {
  const Beats beats = length * Beats(beat_type, 4);
  const std::int64_t whole = beats.numerator() / beats.denominator();
  const Beats rest = beats - Beats(whole);
  if (rest == Beats(0)) return std::to_string(whole);
  return whole == 0 ? rest.text() : fmt::format("{} {}", whole, rest.text());
}

bool cut_by_repeat(const Bar& bar) {
  const Navigation& n = bar.navigation;
  return n.repeat_end || n.repeat_start || n.ending_starts || n.ending_stops || n.da_capo ||
         n.dal_segno || n.to_coda || n.fine || n.coda || n.segno ||
         bar.right == BarLine::double_line || bar.right == BarLine::final_line;
}

/// A short bar is in order at either end of the music, at a repeat, or beside the bar that makes it
/// whole.
bool short_bar_is_in_order(const Part& part, std::size_t i, Beats full) {
  const std::vector<Bar>& bars = part.bars;
  const Bar& bar = bars[i];
  if (i == 0 || i + 1 == bars.size() || bar.implicit) return true;
  const Bar& before = bars[i - 1];
  const Bar& after = bars[i + 1];
  if (cut_by_repeat(bar) || cut_by_repeat(before) || after.navigation.repeat_start ||
      after.navigation.ending_starts) {
    return true;
  }
  return before.length + bar.length == full || bar.length + after.length == full;
}

/// The voice that lasts as long as the whole bar.
int longest_voice(const Bar& bar) {
  int voice = 1;
  Beats longest;
  for (const Note& note : bar.notes) {
    if (note.onset + note.duration <= longest) continue;
    longest = note.onset + note.duration;
    voice = note.voice;
  }
  return voice;
}

void warn_of_length(const Score& score, const Part& part, const Bar& bar, const TimeSignature& time,
                    int voice, Beats length, std::vector<Warning>& warnings) {
  const bool longer = length > time.bar_length();
  warnings.push_back(
      {place_of(bar, bar.line),
       fmt::format("{}, voice {} lasts {} beats but {}/{} needs {}", bar_in_words(score, part, bar),
                   voice, in_beats(length, time.beat_type), time.beats, time.beat_type, time.beats),
       longer ? "Shorten its notes, or correct the metre."
              : "Add a rest, or correct the last note's length."});
}

template <typename Place>
bool changes_metre(const Bar& bar, Place at) {
  return std::any_of(bar.changes.begin(), bar.changes.end(),
                     [&](const Change& c) { return c.kind == ChangeKind::time && at(c.at); });
}

}  // namespace

std::string place_of(const Bar& bar, int line) {
  return line > 0 ? std::to_string(line) : "bar " + bar.number;
}

std::string bar_in_words(const Score& score, const Part& part, const Bar& bar) {
  if (score.parts.size() < 2 || part.name.empty()) return "bar " + bar.number;
  return fmt::format("part {}, bar {}", part.name, bar.number);
}

std::vector<UnevenBar> uneven_bars(const Score& score) {
  std::vector<UnevenBar> uneven;
  if (score.parts.empty()) return uneven;
  const std::vector<Context> all = contexts(score.parts.front());
  bool has_metre = false;  // chant and old music have none, and nothing to add up to
  for (std::size_t i = 0; i < all.size(); ++i) {
    const TimeSignature& time = all[i].time;
    const Bar& bar = score.parts.front().bars[i];
    const Beats full = time.bar_length();
    has_metre = has_metre || changes_metre(bar, [](Beats at) { return at == Beats(0); });
    const bool changes_inside = changes_metre(bar, [](Beats at) { return at != Beats(0); });
    if (!has_metre || time.senza_misura || bar.length == full || changes_inside) continue;
    if (bar.length < full && short_bar_is_in_order(score.parts.front(), i, full)) continue;
    uneven.push_back({i, time});
  }
  return uneven;
}

/// Bars last the same in all parts: each is queried once, in the part that fills it.
void check_bar_lengths(const Score& score, std::vector<Warning>& warnings) {
  for (const UnevenBar& uneven : uneven_bars(score)) {
    for (const Part& part : score.parts) {
      const Bar& bar = part.bars[uneven.index];
      const bool fills = std::any_of(bar.notes.begin(), bar.notes.end(), [&](const Note& n) {
        return n.onset + n.duration == bar.length;
      });
      if (!fills) continue;
      warn_of_length(score, part, bar, uneven.time, longest_voice(bar), bar.length, warnings);
      break;
    }
  }
}

}  // namespace endpin
