#pragma once

#include <algorithm>
#include <random>
#include <string>

#include "endpin/score/score.h"

/// Scores that hold everything the model can, for tests of reading what was written. The same seed
/// gives the same score.
namespace endpin::test {

class ScoreGenerator {
 public:
  explicit ScoreGenerator(unsigned seed) : random_(seed) {}

  Score score() {
    Score score;
    score.title = pick({"Étude <1> & \"more\"", "", "Menuet"});
    score.composer = pick({"", "Anon."});
    score.rights = pick({"", "Public domain"});
    bars_ = between(1, 8);
    const int parts = between(1, 3);
    plan();
    for (int p = 0; p < parts; ++p) score.parts.push_back(part(p));
    return score;
  }

 private:
  int between(int low, int high) { return std::uniform_int_distribution<int>(low, high)(random_); }
  bool chance(int percent) { return between(1, 100) <= percent; }
  std::string pick(std::initializer_list<const char*> choices) {
    return choices.begin()[between(0, static_cast<int>(choices.size()) - 1)];
  }

  /// What all parts share: metres, lengths, repeats.
  void plan() {
    time_.clear();
    for (int b = 0; b < bars_; ++b) {
      TimeSignature time = b == 0 ? TimeSignature{} : time_.back();
      changes_time_.push_back(b == 0 || chance(20));
      if (changes_time_.back()) time = metre();
      time_.push_back(time);
      const bool pickup = b == 0 && chance(40) && time.bar_length() > Beats(1);
      length_.push_back(pickup ? Beats(1) : time.bar_length());
      implicit_.push_back(pickup);
      navigation_.push_back(navigation());
      right_.push_back(chance(20) ? static_cast<BarLine>(between(1, 5)) : BarLine::regular);
    }
    if (bars_ >= 3 && chance(60)) add_endings(between(0, bars_ - 2));
  }

  TimeSignature metre() {
    TimeSignature time;
    time.beat_type = 1 << between(1, 4);
    time.beats = between(1, 9);
    if (time.beats > 3 && chance(30)) time.groups = {2, time.beats - 2};
    if (chance(20)) time = {4, 4, true, false, false};
    if (chance(10)) time = {2, 2, false, true, false};
    if (chance(5)) time.senza_misura = true, time.beats = time.beat_type = 4;
    if (time.senza_misura) time.common = time.cut = false, time.groups.clear();
    return time;
  }

  Navigation navigation() {
    Navigation nav;
    nav.repeat_start = chance(15);
    nav.repeat_end = chance(15);
    if (nav.repeat_end && chance(30)) nav.repeat_times = between(3, 9);
    nav.repeat_after_jump = nav.repeat_end && chance(20);
    nav.segno = chance(8);
    nav.coda = chance(8);
    nav.to_coda = chance(8);
    nav.fine = chance(8);
    nav.da_capo = chance(8);
    nav.dal_segno = chance(8);
    return nav;
  }

  void add_endings(int bar) {
    for (int number = 1; number <= 2; ++number, ++bar) {
      Navigation& nav = navigation_[bar];
      nav.ending = number == 1 && chance(30) ? std::vector{1, 3} : std::vector{number};
      nav.ending_starts = nav.ending_stops = true;
      nav.repeat_end = number == 1;
      nav.repeat_times = 2;
      nav.repeat_after_jump = false;
    }
  }

  Part part(int index) {
    Part part;
    part.id = "P" + std::to_string(index + 1);
    part.name = pick({"Cello", "Violin & friends", ""});
    part.abbreviation = pick({"", "Vc."});
    if (!part.name.empty()) part.instrument_sound = pick({"", "strings.cello"});
    if (chance(40)) part.midi_program = between(1, 128);
    part.staves = chance(20) ? 2 : 1;
    if (chance(30)) part.transpose = {0, 0, -1};
    if (chance(20)) part.transpose = {-1, -2, 0};
    for (int b = 0; b < bars_; ++b) part.bars.push_back(bar(b, part));
    if (chance(40)) pluck(part);
    return part;
  }

  Bar bar(int index, const Part& part) {
    Bar bar;
    bar.number = std::to_string(index);
    bar.implicit = implicit_[index];
    bar.length = length_[index];
    bar.navigation = navigation_[index];
    bar.right = right_[index];
    bar.new_system = chance(10);
    if (chance(10)) bar.multi_rest = between(2, 12);
    changes(bar, index, part.staves);
    if (chance(10)) {
      bar.notes.push_back(bar_rest(bar.length));
    } else {
      fill_voice(bar, 1, part.staves);
      if (chance(50)) fill_voice(bar, 2, part.staves);
      if (index == 0) fill_voice(bar, 2, part.staves);
    }
    std::stable_sort(bar.notes.begin(), bar.notes.end(), [](const Note& a, const Note& b) {
      return a.onset != b.onset ? a.onset < b.onset : a.voice < b.voice;
    });
    const bool sounds =
        std::any_of(bar.notes.begin(), bar.notes.end(), [](const Note& n) { return !n.is_rest(); });
    if (sounds && index > 0 && chance(10)) bar.repeat_of_bars = 1;
    directions(bar, part.staves);
    return bar;
  }

  void changes(Bar& bar, int index, int staves) {
    const auto add = [&](ChangeKind kind, Beats at) -> Change& {
      Change change;
      change.kind = kind;
      change.at = at;
      bar.changes.push_back(change);
      return bar.changes.back();
    };
    if (index == 0 || chance(20)) {
      add(ChangeKind::key, Beats(0)).key = {between(-7, 7), pick({"", "major", "minor", "dorian"})};
    }
    if (changes_time_[index]) add(ChangeKind::time, Beats(0)).time = time_[index];
    if (index == 0 || chance(20)) {
      for (int staff = 1; staff <= staves; ++staff) {
        const auto sign = static_cast<ClefSign>(between(0, 4));
        add(ChangeKind::clef, Beats(0)).clef = {sign, between(1, 5), between(-1, 1), staff};
      }
    }
    if (index > 0 && chance(10)) {
      add(ChangeKind::transposition, Beats(0)).transpose = {between(-5, 5), between(-9, 9), 0};
    }
    if (bar.length > Beats(1) && chance(20)) {
      add(ChangeKind::clef, Beats(1)).clef = {ClefSign::c, 4, 0, 1};
    }
  }

  void directions(Bar& bar, int staves) {
    for (int i = between(0, 3); i > 0; --i) {
      Direction d;
      d.at = bar.length * Beats(between(0, 4), 4);
      d.staff = between(1, staves);
      d.kind = static_cast<DirectionKind>(between(0, 10));
      switch (d.kind) {
        case DirectionKind::pizzicato:
        case DirectionKind::arco:
          continue;  // `pluck` adds these
        case DirectionKind::words:
          d.text = pick({"dolce", "à la pointe", "a < b"});
          break;
        case DirectionKind::rehearsal:
          d.text = "A";
          break;
        case DirectionKind::dynamics:
          d.text = pick({"mf", "ppp", "sempre f"});
          break;
        case DirectionKind::octave_shift_start:
          d.octave_shift = chance(50) ? 1 : -2;
          break;
        case DirectionKind::tempo:
          tempo(d);
          break;
        default:
          break;
      }
      bar.directions.push_back(d);
    }
    sort_directions(bar);
  }

  void tempo(Direction& d) {
    d.text = pick({"", "Allegro"});
    if (chance(50)) d.metronome = Metronome{Beats(3, 2), 60.5};
    if (!d.metronome || chance(50)) d.sound_tempo = Bpm(90.75);
    if (d.text.empty() && !d.metronome) d.staff = 1;
  }

  static void sort_directions(Bar& bar) {
    std::stable_sort(bar.directions.begin(), bar.directions.end(),
                     [](const Direction& a, const Direction& b) { return a.at < b.at; });
  }

  Note bar_rest(Beats length) {
    Note note;
    note.id = next_id();
    note.rest = RestKind::bar_rest;
    note.duration = length;
    return note;
  }

  void fill_voice(Bar& bar, int voice, int staves) {
    Beats at;
    const bool cue = voice == 2 && chance(10);
    while (at < bar.length) {
      const Beats left = bar.length - at;
      if (left >= Beats(1) && chance(20)) {
        tuplet(bar, voice, at);
        continue;
      }
      if (voice == 2 && chance(20)) {  // a hole
        at += std::min(left, Beats(1, 2));
        continue;
      }
      if (chance(10)) grace(bar, voice, at);
      WrittenDuration written{static_cast<NoteValue>(between(3, 8)), between(0, 2), 1, 1};
      while (written.beats() > left) {
        written.dots = 0;
        written.value = static_cast<NoteValue>(static_cast<int>(written.value) + 1);
      }
      Note note = sounding_note(voice, at, written.beats(), written);
      note.staff = between(1, staves);
      note.cue = cue;
      if (cue) note.tie_start = note.tie_stop = false;
      at += note.duration;
      bar.notes.push_back(note);
      if (!note.is_rest() && chance(20)) chord_note(bar, note);
    }
  }

  void chord_note(Bar& bar, const Note& head) {
    Note note = sounding_note(head.voice, head.onset, head.duration, *head.written);
    note.rest = RestKind::none;
    note.in_chord = true;
    note.staff = head.staff;
    note.cue = head.cue;
    if (note.cue) note.tie_start = note.tie_stop = false;
    bar.notes.push_back(note);
  }

  void grace(Bar& bar, int voice, Beats at) {
    Note note = sounding_note(voice, at, Beats(0), {NoteValue::sixteenth, 0, 1, 1});
    note.rest = RestKind::none;
    note.grace = true;
    note.grace_slash = chance(50);
    bar.notes.push_back(note);
  }

  void tuplet(Bar& bar, int voice, Beats& at) {
    const int actual = chance(50) ? 3 : between(5, 13);
    const int normal = actual == 3 ? 2 : actual < 8 ? 4 : 8;
    const NoteValue value = normal == 2   ? NoteValue::eighth
                            : normal == 4 ? NoteValue::sixteenth
                                          : NoteValue::thirty_second;
    const WrittenDuration written{value, 0, actual, normal};
    for (int i = 0; i < actual; ++i) {
      Note note = sounding_note(voice, at, written.beats(), written);
      if (i == 0) note.tuplets.push_back({actual, normal, 1, true, false});
      if (i == actual - 1) note.tuplets.push_back({actual, normal, 1, false, true});
      at += note.duration;
      bar.notes.push_back(note);
    }
  }

  Note sounding_note(int voice, Beats onset, Beats duration, WrittenDuration written) {
    Note note;
    note.id = next_id();
    note.voice = voice;
    note.onset = onset;
    note.duration = duration;
    note.written = written;
    if (chance(10)) {
      note.rest = RestKind::rest;
      return note;
    }
    note.pitch = {static_cast<Step>(between(0, 6)), between(-2, 2), between(1, 6)};
    if (chance(5)) note.unpitched = true, note.pitch.alter = 0;
    note.tie_start = chance(10);
    note.tie_stop = chance(10);
    if (chance(20)) note.slurs.push_back({between(1, 3), chance(50)});
    if (chance(20)) note.articulations.push_back(static_cast<Articulation>(between(1, 7)));
    ornament(note);
    if (chance(5)) note.harmonic = true;
    if (!note.harmonic && chance(5)) note.artificial_harmonic = true;
    if (note.harmonic || note.artificial_harmonic) {
      note.harmonic_place = static_cast<HarmonicPlace>(between(0, 3));
    }
    note.fermata = chance(5);
    note.breath_after = chance(5);
    markings(note.printed);
    if (chance(10)) note.lyrics = {pick({"la", "Hal-", "", "ü&"}), "da"};
    return note;
  }

  void ornament(Note& note) {
    if (!chance(20)) return;
    note.ornament = static_cast<Ornament>(between(1, 5));
    if (note.ornament != Ornament::tremolo) return;
    note.tremolo_marks = between(1, 4);
    note.tremolo_role = static_cast<TremoloRole>(between(0, 2));
  }

  void markings(NoteMarkings& marks) {
    if (chance(15)) marks.bow = chance(50) ? Bow::up : Bow::down;
    if (chance(15)) marks.fingers = {between(0, 4)};
    if (chance(5)) marks.fingers = {1, 3};
    if (chance(15)) marks.string = between(1, 4);
    marks.open_string = chance(5);
    marks.thumb = chance(5);
  }

  /// Plucked from one place on, and bowed again from a later bar.
  void pluck(Part& part) {
    const int from = between(0, bars_ - 1);
    const int to = between(from, bars_);
    for (int b = from; b < bars_; ++b) {
      const bool changes = b == from || b == to;
      if (changes) {
        Direction d;
        d.kind = b == to ? DirectionKind::arco : DirectionKind::pizzicato;
        d.text = b == to ? "arco" : "pizz.";
        part.bars[b].directions.insert(part.bars[b].directions.begin(), d);
      }
      for (Note& note : part.bars[b].notes) {
        if (b < to && !note.is_rest()) note.plucked = true;
      }
    }
  }

  std::string next_id() { return "n" + std::to_string(++ids_); }

  std::mt19937 random_;
  int ids_ = 0;
  int bars_ = 1;
  std::vector<TimeSignature> time_;
  std::vector<bool> changes_time_;
  std::vector<Beats> length_;
  std::vector<bool> implicit_;
  std::vector<Navigation> navigation_;
  std::vector<BarLine> right_;
};

inline Score generated_score(unsigned seed) { return ScoreGenerator(seed).score(); }

}  // namespace endpin::test
