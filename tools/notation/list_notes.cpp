// endpin_list_notes SCORE OUT.musicxml [TUNE]
//
// Prints the played notes of every part as CSV (part, id, onset and duration in quarters, MIDI
// number as it sounds, graces before it, MIDI number as written), the ids of notes that are not
// struck, and writes the score with an id on every note: what compare_with_verovio.mjs compares.

#include <fstream>
#include <iterator>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>

#include "endpin/notation/read.h"
#include "endpin/notation/write.h"
#include "endpin/score/unfold.h"

#include "fmt/core.h"

namespace {

using namespace endpin;

int fail(const Error& error) {
  fmt::print(stderr, "{}\n", error.line());
  return exit_code(error.kind);
}

/// Notes that are not struck themselves: graces, cues, and those that a tie joins to another.
void print_others(const Part& part, const std::set<std::string>& heads) {
  std::set<int> tied_on;  // pitches whose last note has a tie to the next
  for (const Bar& bar : part.bars) {
    for (const Note& note : bar.notes) {
      if (note.grace || note.cue || note.unpitched) fmt::print("left-out,{},,,,\n", note.id);
      if (note.grace || note.cue || note.unpitched || note.is_rest()) continue;
      const bool tied = note.tie_stop || tied_on.count(note.pitch.midi()) > 0;
      if (tied && heads.count(note.id) == 0) fmt::print("tied,{},,,,\n", note.id);
      tied_on.erase(note.pitch.midi());
      if (note.tie_start) tied_on.insert(note.pitch.midi());
    }
  }
}

}  // namespace

int main(int count, char** words) {
  if (count < 3) return 2;
  std::ifstream file(words[1], std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(file), {}};
  ReadOptions options{words[1], std::nullopt};
  if (count > 3) options.tune = std::stoi(words[3]);
  const auto score = read_score(bytes, options);
  if (!score) return fail(score.error());
  const auto marked = write_marked(bytes, *score, {}, options);
  if (!marked) return fail(marked.error());
  std::ofstream(words[2], std::ios::binary) << *marked;
  for (int part = 0; part < static_cast<int>(score->parts.size()); ++part) {
    const auto played = timeline(*score, part);
    std::set<std::string> heads;
    if (played) {
      for (const TimelineNote& note : played->notes) heads.insert(note.id);
    }
    print_others(score->parts[part], heads);
    if (!played) continue;
    std::map<std::string, int> written;
    for (const Bar& bar : score->parts[part].bars) {
      for (const Note& note : bar.notes) written[note.id] = note.pitch.midi();
    }
    std::map<std::pair<Beats, int>, int> graces;  // of a whole chord
    for (const TimelineNote& note : played->notes) {
      graces[{note.onset, note.voice}] += note.graces_before;
    }
    for (const TimelineNote& note : played->notes) {
      fmt::print("{},{},{},{},{},{},{}\n", part + 1, note.id, note.onset.to_double(),
                 note.duration.to_double(), note.midi, graces[{note.onset, note.voice}],
                 written[note.id]);
    }
  }
  return 0;
}
