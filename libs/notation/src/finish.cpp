#include "finish.h"

#include <algorithm>
#include <unordered_set>

#include "endpin/score/check.h"
#include "endpin/score/unfold.h"

#include "fmt/format.h"

namespace endpin::notation {
namespace {

std::size_t most_bars(const Score& score) {
  std::size_t most = 0;
  for (const Part& part : score.parts) most = std::max(most, part.bars.size());
  return most;
}

void even_out_parts(Score& score, Messages& messages) {
  const std::size_t bars = most_bars(score);
  for (Part& part : score.parts) {
    if (part.bars.size() == bars) continue;
    messages.warn(
        std::string(),
        fmt::format("part {} has {} bars, another part {}", part.name, part.bars.size(), bars),
        "Empty bars were added at its end.");
    while (part.bars.size() < bars) {
      for (const Part& other : score.parts) {
        if (other.bars.size() != bars) continue;
        part.bars.emplace_back().number = other.bars[part.bars.size()].number;
        break;
      }
    }
  }
}

bool only_whole_bar_rests(const Bar& bar) {
  return std::all_of(bar.notes.begin(), bar.notes.end(),
                     [](const Note& n) { return n.rest == RestKind::bar_rest || n.cue; });
}

/// How long bar `index` lasts in all parts: what the notes fill; where there are none, what the
/// signature asks.
Beats common_length(const Score& score, std::size_t index, Beats full) {
  Beats filled;
  Beats rested;
  for (const Part& part : score.parts) {
    const Bar& bar = part.bars[index];
    Beats& longest = !bar.notes.empty() && only_whole_bar_rests(bar) ? rested : filled;
    longest = std::max(longest, bar.length);
  }
  if (filled > Beats(0)) return filled;
  const bool implicit = std::any_of(score.parts.begin(), score.parts.end(),
                                    [&](const Part& part) { return part.bars[index].implicit; });
  return implicit && rested > Beats(0) ? rested : full;
}

void set_bar_lengths(Score& score) {
  if (score.parts.empty()) return;
  const std::vector<Context> all = contexts(score.parts.front());
  for (std::size_t i = 0; i < all.size(); ++i) {
    const Beats length = common_length(score, i, all[i].time.bar_length());
    for (Part& part : score.parts) {
      part.bars[i].length = length;
      for (Note& note : part.bars[i].notes) {
        if (note.rest == RestKind::bar_rest) note.duration = length;
      }
    }
  }
}

void join(Navigation& into, const Navigation& from) {
  into.repeat_start = into.repeat_start || from.repeat_start;
  if (from.repeat_end && !into.repeat_end) {
    into.repeat_end = true;
    into.repeat_times = from.repeat_times;
    into.repeat_after_jump = from.repeat_after_jump;
  }
  if (into.ending.empty()) {
    into.ending = from.ending;
    into.ending_starts = from.ending_starts;
    into.ending_stops = from.ending_stops;
  }
  into.segno = into.segno || from.segno;
  into.coda = into.coda || from.coda;
  into.to_coda = into.to_coda || from.to_coda;
  into.fine = into.fine || from.fine;
  into.da_capo = into.da_capo || from.da_capo;
  into.dal_segno = into.dal_segno || from.dal_segno;
}

/// Many programs put repeats and jumps into one part only.
void spread_navigation(Score& score) {
  for (std::size_t i = 0; i < most_bars(score); ++i) {
    Navigation all;
    for (const Part& part : score.parts) join(all, part.bars[i].navigation);
    for (Part& part : score.parts) part.bars[i].navigation = all;
  }
}

/// A bar drawn as a repeat sign sounds like the one that it repeats.
void fill_repeated_bars(Part& part, std::size_t part_number) {
  for (std::size_t i = 0; i < part.bars.size(); ++i) {
    Bar& bar = part.bars[i];
    const auto back = static_cast<std::size_t>(bar.repeat_of_bars);
    const bool has_notes = std::any_of(bar.notes.begin(), bar.notes.end(),
                                       [](const Note& note) { return !note.is_rest(); });
    if (back == 0 || back > i || has_notes) continue;
    bar.notes = part.bars[i - back].notes;
    bar.length = part.bars[i - back].length;
    int n = 0;
    for (Note& note : bar.notes) note.id = fmt::format("p{}b{}r{}", part_number, i + 1, ++n);
  }
}

void number_bars(Part& part) {
  for (std::size_t i = 0; i < part.bars.size(); ++i) {
    if (part.bars[i].number.empty()) part.bars[i].number = std::to_string(i + 1);
  }
}

/// Ids that are missing or taken are made from the note's place, so that they come out the same
/// each time.
void give_ids(Score& score) {
  std::unordered_set<std::string> taken;
  const auto for_each_note = [&](auto action) {
    for (std::size_t p = 0; p < score.parts.size(); ++p) {
      for (std::size_t b = 0; b < score.parts[p].bars.size(); ++b) {
        int n = 0;
        for (Note& note : score.parts[p].bars[b].notes) action(note, p + 1, b + 1, ++n);
      }
    }
  };
  for_each_note([&](Note& note, std::size_t, std::size_t, int) {
    if (!note.id.empty() && !taken.insert(note.id).second) note.id.clear();
  });
  for_each_note([&](Note& note, std::size_t part, std::size_t bar, int number) {
    if (!note.id.empty()) return;
    note.id = fmt::format("p{}b{}n{}", part, bar, number);
    while (!taken.insert(note.id).second) note.id += "x";
  });
}

}  // namespace

void finish(Score& score, Messages& messages) {
  even_out_parts(score, messages);
  for (std::size_t p = 0; p < score.parts.size(); ++p) {
    number_bars(score.parts[p]);
    fill_repeated_bars(score.parts[p], p + 1);
  }
  set_bar_lengths(score);
  spread_navigation(score);
  give_ids(score);
  for (Warning& warning : check_notation(score)) {
    messages.warn(std::move(warning.place), std::move(warning.what), std::move(warning.remedy));
  }
  // Repeats and jumps are the same in all parts by now.
  for (Warning& warning : unfold(score.parts.front()).warnings) {
    messages.warn(std::move(warning.place), std::move(warning.what), std::move(warning.remedy));
  }
  score.warnings = messages.take();
}

}  // namespace endpin::notation
