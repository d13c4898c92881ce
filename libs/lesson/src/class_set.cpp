#include "endpin/lesson/class_set.h"

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>
#include <utility>

#include <fmt/core.h>

#include "endpin/instrument/stops.h"
#include "endpin/lesson/arrange.h"
#include "endpin/lesson/recipes.h"
#include "endpin/score/unfold.h"

#include "all_open.h"
#include "simple_parts.h"

namespace endpin {
namespace {

constexpr int most_signs = 7;

// Bars of any length: lay_into_bars wants a signature, and 5/4 of a quarter is one of 5/16.
TimeSignature signature_of(Beats bar) {
  TimeSignature time;
  time.beats = static_cast<int>(bar.numerator());
  time.beat_type = static_cast<int>(4 * bar.denominator());
  return time;
}

std::string line_name(const Instrument& instrument, SetLineKind kind) {
  return std::string(instrument.name) + "-" + std::string(name(kind));
}

// The first step with which every note can be played; empty if there is none.
std::string step_for(const Timeline& timeline, const Instrument& instrument) {
  for (const Reach& reach : instrument.reaches) {
    const bool all = std::all_of(
        timeline.notes.begin(), timeline.notes.end(),
        [&](const TimelineNote& n) { return !stops(instrument, n.spelled, reach).empty(); });
    if (all) return std::string(reach.step);
  }
  return {};
}

std::vector<std::string> strained_for(const Timeline& timeline, const Instrument& instrument,
                                      const Reach& reach) {
  std::map<int, std::string> strained;
  for (const TimelineNote& note : timeline.notes) {
    if (stops(instrument, note.spelled, reach).empty()) strained[note.midi] = note.spelled.text();
  }
  std::vector<std::string> texts;
  for (const auto& [midi, text] : strained) texts.push_back(text);
  return texts;
}

// Nobody decided these but the set.
void as_proposals(Markings& markings, bool fingers) {
  for (NoteMarking& note : markings.notes) {
    if (note.bow_origin == Origin::teacher) note.bow_origin = Origin::proposed;
    if (fingers) note.finger_origin = note.string_origin = Origin::proposed;
  }
}

// Bows that were taken over are printed where the leader's are. Notes are the same in both.
void show_as(Markings& markings, const Markings& lead) {
  for (std::size_t i = 0; i < std::min(markings.notes.size(), lead.notes.size()); ++i) {
    markings.notes[i].bow_shown = lead.notes[i].bow_shown;
  }
}

// The engraver would print a tempo above every staff.
void without_tempi(Part& part) {
  for (Bar& bar : part.bars) {
    std::erase_if(bar.directions,
                  [](const Direction& d) { return d.kind == DirectionKind::tempo; });
  }
}

const std::string& hand_of(const ClassSetRequest& request, InstrumentKind kind) {
  const auto own = request.steps.find(kind);
  return own == request.steps.end() ? request.step : own->second;
}

class SetMaker {
 public:
  explicit SetMaker(const ClassSetRequest& request)
      : request_(request),
        written_(request.score->parts.at(static_cast<std::size_t>(request.part))) {}

  Result<ClassSet> make() {
    auto own = timeline(*request_.score, request_.part, request_.instrument);
    if (!own) return Unexpected(std::move(own).error());
    set_.step = request_.step;
    set_.key = {request_.fifths.value_or(own->fifths), own->minor};
    shift_ = set_.key.fifths - own->fifths;
    set_.score = *request_.score;
    set_.score.parts.clear();
    for (const InstrumentKind kind : request_.instruments) {
      if (auto done = add_instrument(instrument(kind)); !done)
        return Unexpected(Error(done.error()));
    }
    if (auto done = add_warm_ups(); !done) return Unexpected(Error(done.error()));
    std::stable_sort(set_.lines.begin(), set_.lines.end(),
                     [&](const SetLine& a, const SetLine& b) { return rank(a) < rank(b); });
    set_.keys = key_choices(*own);
    return std::move(set_);
  }

 private:
  std::pair<std::ptrdiff_t, SetLineKind> rank(const SetLine& line) const {
    const auto& all = request_.instruments;
    return {std::find(all.begin(), all.end(), line.instrument->kind) - all.begin(), line.kind};
  }

  const std::string& hand(const Instrument& of) const { return hand_of(request_, of.kind); }

  Part part_on(const Instrument& to, int shift) const {
    return part_for(written_, request_.instrument, to, hand(to), shift);
  }

  Result<void> add_instrument(const Instrument& to) {
    const Part tune = part_on(to, shift_);
    if (auto done = add_line(SetLineKind::tune, to, tune, false); !done) return done;
    Part in_score = set_.lines.back().score.parts[0];
    in_score.id = "P" + std::to_string(set_.score.parts.size() + 1);
    if (!set_.score.parts.empty()) without_tempi(in_score);
    set_.score.parts.push_back(std::move(in_score));

    const Accompanied heard = accompanied(tune, to);
    struct Recipe {
      SetLineKind kind;
      std::vector<Phrase> (*make)(const Accompanied&);
      bool open;
    };
    const Recipe recipes[] = {{SetLineKind::second, second_voice, false},
                              {SetLineKind::long_notes, long_notes, false},
                              {SetLineKind::rhythm, rhythm_on_one_note, false},
                              {SetLineKind::open_strings, beat_on_open_strings, true}};
    for (const Recipe& recipe : recipes) {
      if (request_.left_out.count(recipe.kind) > 0) continue;
      const std::vector<Phrase> bars = recipe.make(heard);
      if (bars.empty()) continue;
      auto done = add_line(recipe.kind, to, with_bars(tune, bars), recipe.open);
      if (!done) return done;
    }
    return {};
  }

  // The tune's bars as sounding lines.
  Accompanied accompanied(const Part& tune, const Instrument& to) const {
    Accompanied heard;
    heard.key = set_.key;
    heard.instrument = &to;
    heard.reach = &reach(to, hand(to));
    const std::vector<Context> context = contexts(tune);
    for (std::size_t i = 0; i < tune.bars.size(); ++i) {
      Phrase line = line_of(tune.bars[i]);
      for (LineNote& note : line) {
        if (note.pitch) note.pitch = sounding(*note.pitch, tune.transpose);
      }
      heard.bars.push_back(std::move(line));
      heard.beats.push_back(beat_of(context[i].time));
    }
    heard.harmony = harmony(heard.bars, set_.key);
    return heard;
  }

  // The same bars, signatures and repeats with other notes in them.
  static Part with_bars(const Part& tune, const std::vector<Phrase>& bars) {
    Part part = tune;
    for (std::size_t i = 0; i < part.bars.size(); ++i) {
      Phrase line = bars[i];
      for (LineNote& note : line) {
        if (note.pitch) note.pitch = written_pitch(*note.pitch, part.transpose);
        note.printed = {};
      }
      std::vector<Bar> laid = lay_into_bars({line}, signature_of(part.bars[i].length));
      part.bars[i].notes = laid.empty() ? std::vector<Note>() : std::move(laid.front().notes);
    }
    return part;
  }

  Result<void> add_line(SetLineKind kind, const Instrument& to, Part part, bool open) {
    SetLine line;
    line.kind = kind;
    line.instrument = &to;
    line.hand = hand(to);
    line.score = *request_.score;
    line.score.warnings.clear();
    name_notes(part, line_name(to, kind), kind == SetLineKind::tune);
    line.score.parts = {std::move(part)};
    auto played = timeline(line.score, 0, to.name);
    if (!played) {
      if (kind == SetLineKind::tune) return Unexpected(std::move(played).error());
      return {};
    }
    line.timeline = std::move(*played);
    mark_line(line, open);
    line.step = step_for(line.timeline, to);
    line.strained = strained_for(line.timeline, to, reach(to, hand(to)));
    set_.lines.push_back(std::move(line));
    return {};
  }

  static void name_notes(Part& part, const std::string& line, bool keep) {
    int number = 0;
    for (Bar& bar : part.bars) {
      for (Note& note : bar.notes) {
        note.id = line + "-" + (keep ? note.id : "n" + std::to_string(++number));
      }
    }
  }

  // The leader's bowing of the tune holds for all.
  void mark_line(SetLine& line, bool open) const {
    MarkingOptions options;
    options.step = line.hand;
    options.rules = request_.rules;
    const SetLine* lead = nullptr;
    for (const SetLine& other : set_.lines) {
      if (other.kind == line.kind && line.kind == SetLineKind::tune && lead == nullptr) {
        lead = &other;
      }
    }
    if (line.kind == SetLineKind::tune) {
      options.teacher = lead != nullptr ? bows_of(*lead, line) : wanted_by_the_teacher(line);
    }
    if (open) options.teacher = all_open(line.timeline);
    line.markings = mark(line.score, 0, line.timeline, *line.instrument, options);
    as_proposals(line.markings, open);
    if (lead != nullptr) show_as(line.markings, lead->markings);
    apply(line.markings, line.timeline);
  }

  // Fingers and strings belong to the part in its own key on its own instrument.
  std::vector<TeacherMarking> wanted_by_the_teacher(const SetLine& line) const {
    std::vector<TeacherMarking> wanted = request_.teacher;
    const bool as_written = line.instrument->name == request_.instrument && shift_ == 0;
    for (TeacherMarking& marking : wanted) {
      marking.id = line_name(*line.instrument, line.kind) + "-" + marking.id;
      if (as_written) continue;
      marking.finger.reset();
      marking.string.reset();
    }
    return wanted;
  }

  static std::vector<TeacherMarking> bows_of(const SetLine& lead, const SetLine& line) {
    const std::size_t prefix = line_name(*lead.instrument, lead.kind).size();
    std::vector<TeacherMarking> bows;
    for (const NoteMarking& note : lead.markings.notes) {
      if (!note.bow || note.bow_origin == Origin::printed) continue;
      TeacherMarking marking;
      marking.id = line_name(*line.instrument, line.kind) + note.id.substr(prefix);
      marking.bow = note.bow;
      bows.push_back(std::move(marking));
    }
    return bows;
  }

  // So many notes of the key from its degree `first`, in an octave that the hand has.
  std::vector<SpelledPitch> run_on(const Instrument& to, int first, int count) const {
    const Reach& reached = reach(to, hand(to));
    for (int octave = 0; octave <= 7; ++octave) {
      std::vector<SpelledPitch> run;
      for (int i = 0; i < count; ++i) {
        const SpelledPitch pitch = set_.key.above(set_.key.tonic(octave), first + i);
        if (stops(to, pitch, reached).empty()) break;
        run.push_back(pitch);
      }
      if (static_cast<int>(run.size()) == count) return run;
    }
    return {};
  }

  bool all_have(int first, int count) const {
    return std::all_of(
        request_.instruments.begin(), request_.instruments.end(),
        [&](InstrumentKind kind) { return !run_on(instrument(kind), first, count).empty(); });
  }

  // An octave from the tonic, or five notes; else the longest run that everybody has.
  std::pair<int, int> shared_run() const {
    for (const int count : {8, 5}) {
      if (all_have(0, count)) return {0, count};
    }
    for (int count = 7; count >= 2; --count) {
      for (int first = 0; first < 7; ++first) {
        if (all_have(first, count)) return {first, count};
      }
    }
    return {0, 0};
  }

  // In unison or octaves, up and down, two notes a bar of four.
  Result<void> add_warm_ups() {
    const auto [first, count] = shared_run();
    if (count == 0 || request_.left_out.count(SetLineKind::warm_up) > 0) return {};
    const TimeSignature time = contexts(written_).front().time;
    const Beats beat = beat_of(time);
    const Beats value = time.bar_length() == beat * Beats(4) ? beat * Beats(2) : beat;
    for (const InstrumentKind kind : request_.instruments) {
      const Instrument& to = instrument(kind);
      const Part tune = part_on(to, shift_);
      std::vector<SpelledPitch> pitches = run_on(to, first, count);
      for (int i = count - 2; i >= 0; --i) pitches.push_back(pitches[static_cast<std::size_t>(i)]);
      Phrase line;
      for (const SpelledPitch pitch : pitches) {
        line.push_back(line_note(written_pitch(pitch, tune.transpose), value));
      }
      const Beats bars = length(line) / time.bar_length();
      const Beats whole((bars.numerator() + bars.denominator() - 1) / bars.denominator());
      line.back().duration += whole * time.bar_length() - length(line);
      Ground ground = ground_at(tune, 0);
      ground.time = time;
      const Score score = exercise_score(ground, lay_into_bars({line}, time), "w");
      if (auto done = add_line(SetLineKind::warm_up, to, score.parts[0], false); !done) return done;
    }
    return {};
  }

  KeyForInstrument lies(const Instrument& to, int shift) const {
    Score score = *request_.score;
    score.parts = {part_on(to, shift)};
    KeyForInstrument result;
    result.instrument = &to;
    const auto played = timeline(score, 0, to.name);
    if (!played) return result;
    result.step = step_for(*played, to);
    result.strained = strained_for(*played, to, reach(to, hand(to)));
    result.open_notes = static_cast<int>(
        std::count_if(played->notes.begin(), played->notes.end(), [&](const TimelineNote& note) {
          return std::any_of(to.strings.begin(), to.strings.end(),
                             [&](SpelledPitch string) { return string.midi() == note.midi; });
        }));
    return result;
  }

  std::vector<KeyChoice> key_choices(const Timeline& own) const {
    std::vector<KeyChoice> choices;
    for (int fifths = -most_signs; fifths <= most_signs; ++fifths) {
      KeyChoice choice;
      choice.key = {fifths, own.minor};
      for (const InstrumentKind kind : request_.instruments) {
        choice.each.push_back(lies(instrument(kind), fifths - own.fifths));
      }
      choices.push_back(std::move(choice));
    }
    const auto order = [&](const KeyChoice& choice) {
      std::size_t strained = 0;
      int open = 0;
      for (const KeyForInstrument& one : choice.each) {
        strained += one.strained.size();
        open += one.open_notes;
      }
      return std::tuple(strained, std::abs(choice.key.fifths), -open, choice.key.fifths);
    };
    std::stable_sort(choices.begin(), choices.end(),
                     [&](const auto& a, const auto& b) { return order(a) < order(b); });
    return choices;
  }

  const ClassSetRequest& request_;
  const Part& written_;
  ClassSet set_;
  int shift_ = 0;
};

std::optional<Error> fault(const ClassSetRequest& request) {
  const auto refuse = [](std::string what, std::string remedy) {
    return Error{ErrorKind::input, "", "", std::move(what), std::move(remedy)};
  };
  const std::set<InstrumentKind> once(request.instruments.begin(), request.instruments.end());
  if (once.empty()) return refuse("a class set needs an instrument", "Name one or more.");
  if (once.size() != request.instruments.size()) {
    return refuse("an instrument is named twice", "Name each once.");
  }
  for (const InstrumentKind kind : request.instruments) {
    const Instrument& one = instrument(kind);
    const bool known = std::any_of(one.reaches.begin(), one.reaches.end(), [&](const Reach& r) {
      return r.step == hand_of(request, kind);
    });
    if (known) continue;
    std::string steps;
    for (const Reach& r : one.reaches) steps += (steps.empty() ? "" : ", ") + std::string(r.step);
    return refuse(fmt::format("the {} has no step \"{}\"", one.name, hand_of(request, kind)),
                  "Give one of " + steps + ".");
  }
  if (request.fifths && std::abs(*request.fifths) > most_signs) {
    return refuse("a key has at most seven sharps or flats", "Choose another.");
  }
  return std::nullopt;
}

}  // namespace

std::string_view name(SetLineKind kind) {
  constexpr std::string_view names[] = {"tune",   "second",       "long-notes",
                                        "rhythm", "open-strings", "warm-up"};
  return names[static_cast<std::size_t>(kind)];
}

bool KeyChoice::in_hand() const {
  return std::all_of(each.begin(), each.end(),
                     [](const KeyForInstrument& one) { return one.strained.empty(); });
}

const SetLine* ClassSet::find(SetLineKind kind, InstrumentKind instrument) const {
  for (const SetLine& line : lines) {
    if (line.kind == kind && line.instrument->kind == instrument) return &line;
  }
  return nullptr;
}

const KeyChoice& ClassSet::chosen() const {
  return *std::find_if(keys.begin(), keys.end(),
                       [&](const KeyChoice& choice) { return choice.key.fifths == key.fifths; });
}

Result<ClassSet> make_class_set(const ClassSetRequest& request) {
  if (auto error = fault(request)) return Unexpected(std::move(*error));
  return SetMaker(request).make();
}

}  // namespace endpin
