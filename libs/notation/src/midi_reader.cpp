#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "endpin/score/unfold.h"

#include "clefs.h"
#include "finish.h"
#include "fmt/format.h"
#include "midi_file.h"
#include "midi_notation.h"
#include "readers.h"

namespace endpin::notation {
namespace {

constexpr int percussion_channel = 9;  // channel 10 of General MIDI
constexpr std::size_t most_bars = 20'000;
constexpr std::size_t most_bars_of_all_parts = 200'000;

/// One instrument: the notes of one channel in one track.
struct Source {
  std::string name;
  std::optional<int> program;
  std::vector<MidiNote> notes;
};

std::vector<Source> sources_of(const MidiFile& file, Messages& messages) {
  std::vector<Source> sources;
  std::map<int, int> programs;  // by channel, set in any track
  for (const MidiTrack& track : file.tracks) {
    for (const auto& [channel, program] : track.programs) programs.emplace(channel, program);
  }
  bool percussion = false;
  for (const MidiTrack& track : file.tracks) {
    std::map<int, Source> by_channel;
    for (const MidiNote& note : track.notes) {
      if (note.channel == percussion_channel) {
        percussion = true;
        continue;
      }
      by_channel[note.channel].notes.push_back(note);
    }
    for (auto& [channel, source] : by_channel) {
      source.name = track.name;
      const auto own = track.programs.find(channel);
      const auto any = programs.find(channel);
      if (own != track.programs.end()) {
        source.program = own->second;
      } else if (any != programs.end()) {
        source.program = any->second;
      }
      sources.push_back(std::move(source));
    }
  }
  if (percussion) messages.warn(std::string(), "the percussion channel was left out", "");
  return sources;
}

template <typename Event>
std::vector<Event> all_of(const MidiFile& file, std::vector<Event> MidiTrack::*events) {
  std::vector<Event> all;
  for (const MidiTrack& track : file.tracks) {
    all.insert(all.end(), (track.*events).begin(), (track.*events).end());
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const Event& a, const Event& b) { return a.at < b.at; });
  return all;
}

/// To the nearest sixteenth of a quarter.
Beats place_of(Ticks at, Ticks ticks_per_quarter) {
  constexpr int grid = 16;
  const double quarters = static_cast<double>(at) / static_cast<double>(ticks_per_quarter);
  return Beats(std::llround(quarters * grid), grid);
}

/// The signature with the fewest notes outside it; of several the one with fewest sharps or flats.
int guessed_fifths(const std::vector<Source>& sources) {
  std::array<long, 12> count{};
  for (const Source& source : sources) {
    for (const MidiNote& note : source.notes) ++count[static_cast<std::size_t>(note.pitch % 12)];
  }
  int best = 0;
  long fewest = -1;
  for (const int fifths : {0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6}) {
    long outside = 0;
    // The key's notes lie from one below its tonic to five above on the line of fifths.
    for (int place = 6; place <= 10; ++place) {
      const int pitch_class = ((7 * (fifths + place)) % 12 + 12) % 12;
      outside += count[static_cast<std::size_t>(pitch_class)];
    }
    if (fewest >= 0 && outside >= fewest) continue;
    fewest = outside;
    best = fifths;
  }
  return best;
}

std::vector<MetreAt> metres_of(const MidiFile& file) {
  std::vector<MetreAt> metres;
  for (const MidiMetre& metre : all_of(file, &MidiTrack::metres)) {
    TimeSignature time;
    time.beats = metre.beats;
    time.beat_type = metre.beat_type;
    const Beats at = place_of(metre.at, file.ticks_per_quarter);
    if (!metres.empty() && metres.back().at == at) metres.pop_back();
    metres.push_back({at, time});
  }
  return metres;
}

std::size_t bar_at(const std::vector<BarFrame>& frames, Beats at) {
  const auto after = std::upper_bound(frames.begin(), frames.end(), at,
                                      [](Beats b, const BarFrame& f) { return b < f.start; });
  return after == frames.begin() ? 0 : static_cast<std::size_t>(after - frames.begin()) - 1;
}

void write_tempi(const MidiFile& file, const std::vector<BarFrame>& frames,
                 std::vector<Bar>& bars) {
  bool first = true;
  constexpr std::size_t most = 10'000;
  std::size_t written = 0;
  for (const MidiTempo& tempo : all_of(file, &MidiTrack::tempi)) {
    const Beats at = place_of(tempo.at, file.ticks_per_quarter);
    const std::size_t bar = bar_at(frames, at);
    const BarFrame& frame = frames[bar];
    if (at >= frame.start + frame.length || ++written > most) continue;
    const double bpm = std::round(tempo.quarters_per_minute * 100) / 100;
    if (bpm <= 0) continue;
    Direction direction;
    direction.kind = DirectionKind::tempo;
    direction.at = at - frame.start;
    // Only the first is printed: performed files change tempo in every beat.
    if (first) direction.metronome = Metronome{Beats(1), bpm};
    if (!first) direction.sound_tempo = Bpm(bpm);
    first = false;
    bars[bar].directions.push_back(direction);
  }
}

void write_keys(const std::vector<MidiKey>& keys, Ticks ticks, const std::vector<BarFrame>& frames,
                std::vector<Bar>& bars) {
  std::map<std::size_t, Change> by_bar;
  for (const MidiKey& key : keys) {
    Change change;
    change.kind = ChangeKind::key;
    change.key = {key.fifths, key.minor ? "minor" : "major"};
    by_bar[bar_at(frames, place_of(key.at, ticks))] = change;
  }
  for (const auto& [bar, change] : by_bar) bars[bar].changes.push_back(change);
}

std::vector<Bar> empty_bars(const std::vector<BarFrame>& frames) {
  std::vector<Bar> bars(frames.size());
  for (std::size_t i = 0; i < frames.size(); ++i) {
    bars[i].number = std::to_string(i + 1);
    bars[i].length = frames[i].length;
    bars[i].implicit = frames[i].length != frames[i].time.bar_length();
    if (!frames[i].new_metre) continue;
    Change change;
    change.kind = ChangeKind::time;
    change.time = frames[i].time;
    bars[i].changes.push_back(change);
  }
  bars.back().right = BarLine::final_line;
  return bars;
}

/// A double bass reads an octave above what sounds.
void write_bass_an_octave_up(Part& part) {
  if (guess_instrument(part) != "bass") return;
  part.transpose.octave_change = -1;
  for (Bar& bar : part.bars) {
    for (Note& note : bar.notes) {
      if (!note.is_rest()) ++note.pitch.octave;
    }
  }
}

/// Format 2 holds pieces that have nothing to do with each other: the first with notes is read.
void keep_first_sequence(MidiFile& file, Messages& messages) {
  const auto first = std::find_if(file.tracks.begin(), file.tracks.end(),
                                  [](const MidiTrack& track) { return !track.notes.empty(); });
  if (file.format != 2 || first == file.tracks.end()) return;
  MidiTrack kept = std::move(*first);
  const std::size_t others = file.tracks.size() - 1;
  file.tracks.clear();
  file.tracks.push_back(std::move(kept));
  if (others > 0) {
    messages.warn(std::string(), fmt::format("{} further sequences were left out", others), "");
  }
}

}  // namespace

Result<Score> read_midi(std::string_view bytes, Messages& messages) {
  auto parsed = parse_midi(bytes, messages);
  if (!parsed) return Unexpected(parsed.error());
  MidiFile& file = *parsed;
  keep_first_sequence(file, messages);
  const std::vector<Source> sources = sources_of(file, messages);
  if (sources.empty()) {
    return messages.error(0, "no note sounds in this MIDI file", "Give a file with notes.");
  }
  std::vector<std::vector<QuantisedNote>> notes;
  Beats end;
  for (const Source& source : sources) {
    notes.push_back(quantise(source.notes, file.ticks_per_quarter));
    for (const QuantisedNote& note : notes.back()) end = std::max(end, note.end);
  }
  if (end > Beats(static_cast<std::int64_t>(most_bars))) {
    return messages.error(0, fmt::format("the music is longer than {} quarters", most_bars),
                          "Split the file into smaller ones.");
  }
  const std::vector<BarFrame> frames = bar_frames(metres_of(file), end);
  if (frames.size() * sources.size() > most_bars_of_all_parts) {
    return messages.error(0, fmt::format("more than {} bars", most_bars_of_all_parts),
                          "Split the file into smaller ones.");
  }
  std::vector<MidiKey> keys = all_of(file, &MidiTrack::keys);
  if (keys.empty()) keys.push_back({0, guessed_fifths(sources), false});
  Score score;
  score.notation_guessed = true;
  if (file.format != 0 && !file.tracks.empty() && file.tracks.front().notes.empty()) {
    score.title = file.tracks.front().name;
  }
  for (std::size_t i = 0; i < sources.size(); ++i) {
    Part part;
    part.id = fmt::format("P{}", i + 1);
    part.name = sources[i].name;
    part.midi_program = sources[i].program;
    part.bars = empty_bars(frames);
    write_keys(keys, file.ticks_per_quarter, frames, part.bars);
    if (i == 0) write_tempi(file, frames, part.bars);
    notate(notes[i], frames, keys.front().fifths, part.bars);
    write_bass_an_octave_up(part);
    score.parts.push_back(std::move(part));
  }
  settle_clefs(score);
  messages.warn(std::string(), "the notation was guessed from a MIDI file",
                "Check its values, spelling and bar lines before it goes to a student.");
  finish(score, messages);
  return score;
}

}  // namespace endpin::notation
