#pragma once

#include <sstream>
#include <string>
#include <vector>

#include "endpin/score/unfold.h"
#include "endpin/technique/markings.h"

namespace endpin {

/// A piece for the violin out of bars like "1 1d r1 ( 1/2 1/2 )": lengths in quarters; r a rest,
/// d and u printed bows, v a breath after, parentheses a slur, "|:" and ":|" repeats. The pitches
/// go round A4 B4 C♯5, so that neighbours differ. Ids are n0, n1, …
struct RhythmPiece {
  Score score;
  Timeline timeline;

  RhythmPiece(const std::vector<std::string>& bars, int beats = 4, Bpm tempo = Bpm(60)) {
    Part part;
    part.id = "P1";
    for (const std::string& text : bars) add_bar(part, text, beats, tempo);
    score.parts.push_back(part);
    timeline = *endpin::timeline(score, 0, "violin");
  }

  Markings mark(const MarkingOptions& options = {}) const {
    return endpin::mark(score, 0, timeline, instrument(InstrumentKind::violin), options);
  }

 private:
  void add_bar(Part& part, const std::string& text, int beats, Bpm tempo) {
    Bar bar;
    bar.number = std::to_string(part.bars.size() + 1);
    bar.length = Beats(0);
    if (part.bars.empty()) {
      Change time;
      time.kind = ChangeKind::time;
      time.time.beats = beats;
      bar.changes.push_back(time);
      Direction speed;
      speed.kind = DirectionKind::tempo;
      speed.sound_tempo = tempo;
      bar.directions.push_back(speed);
    }
    std::istringstream words(text);
    std::string word;
    while (words >> word) add_word(bar, word);
    part.bars.push_back(bar);
  }

  void add_word(Bar& bar, std::string word) {
    if (word == "|:") bar.navigation.repeat_start = true;
    if (word == ":|") bar.navigation.repeat_end = true;
    if (word == "(") slur_opens_ = true;
    if (word == ")") bar.notes.back().slurs.push_back({1, false});
    if (word.find_first_of("0123456789") == std::string::npos) return;
    Note note;
    if (word.front() == 'r') note.rest = RestKind::rest, word.erase(0, 1);
    if (word.back() == 'v') note.breath_after = true, word.pop_back();
    if (word.back() == 'd') note.printed.bow = Bow::down, word.pop_back();
    if (word.back() == 'u') note.printed.bow = Bow::up, word.pop_back();
    note.id = "n" + std::to_string(count_);
    const char* pitches[] = {"A4", "B4", "C#5"};
    note.pitch = *SpelledPitch::parse(pitches[count_++ % 3]);
    note.onset = bar.length;
    note.duration = *Beats::parse(word);
    if (slur_opens_) note.slurs.push_back({1, true});
    slur_opens_ = false;
    bar.length += note.duration;
    bar.notes.push_back(note);
  }

  int count_ = 0;
  bool slur_opens_ = false;
};

}  // namespace endpin
