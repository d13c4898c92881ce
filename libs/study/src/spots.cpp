#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <set>

#include "sections.h"

namespace endpin::study_internal {
namespace {

enum class Kind {
#define SPOT(name, text, weight, why) name,
#include "endpin/study/spot_weights.def"
#undef SPOT
};

struct KindData {
  const char* text;
  double weight;
};
constexpr KindData kinds[] = {
#define SPOT(name, text, weight, why) {text, weight},
#include "endpin/study/spot_weights.def"
#undef SPOT
};

using Notes = std::vector<const TimelineNote*>;

struct Reader {
  const Timeline& timeline;
  const std::vector<WrittenBar>& bars;
  const Instrument& instrument;
  std::vector<Spot> found;

  double seconds(Beats from, Beats to) const {
    return (timeline.tempo.seconds_at(to) - timeline.tempo.seconds_at(from)).value();
  }

  // One spot a kind and bar: notes are gathered, the measure is the largest.
  void add(Kind kind, const std::string& bar, const Notes& notes, Sentence reason,
           double measure = 1) {
    const KindData& data = kinds[static_cast<std::size_t>(kind)];
    const auto old = std::find_if(found.begin(), found.end(), [&](const Spot& s) {
      return s.kind == data.text && s.bar == bar;
    });
    const bool fresh = old == found.end();
    Spot& spot = fresh ? found.emplace_back() : *old;
    if (fresh) spot = {data.text, bar, {}, std::move(reason), 0, 0};
    for (const TimelineNote* note : notes) spot.notes.push_back(note->id);
    spot.measure = std::max(spot.measure, measure);
    spot.weight = data.weight * spot.measure;
  }
};

std::optional<Stop> stop_of(const TimelineNote& note, const Instrument& instrument) {
  if (!note.string || !note.finger) return std::nullopt;
  return stop_with(instrument, note.spelled, *note.string, *note.finger);
}

void read_crossings(Reader& reader, const Notes& notes) {
  int run = 0;
  for (std::size_t i = 1; i < notes.size(); ++i) {
    const TimelineNote& a = *notes[i - 1];
    const TimelineNote& b = *notes[i];
    if (!a.string || !b.string || a.onset == b.onset) continue;
    const int jumped = std::abs(*a.string - *b.string) - 1;
    if (jumped >= 1) {
      reader.add(Kind::crossing_over, b.bar, {&a, &b},
                 {"study.spot.crossing-over",
                  {{"from", string_letter(reader.instrument, *a.string)},
                   {"to", string_letter(reader.instrument, *b.string)}}},
                 jumped);
    }
    const double gap = reader.seconds(a.onset, b.onset);
    run = *a.string != *b.string && gap > 0 && gap < 1.0 / 3 ? run + 1 : 0;
    if (run >= 3) reader.add(Kind::crossing_fast, b.bar, {&b}, {"study.spot.crossing-fast", {}});
  }
}

// The hand is known by its stopped notes; an open string leaves it where it is.
void read_hand(Reader& reader, const Notes& notes) {
  std::optional<int> hand;
  for (const TimelineNote* note : notes) {
    const auto stop = stop_of(*note, reader.instrument);
    if (!stop || stop->finger == 0) continue;
    if (stop->extension != Extension::none) {
      reader.add(Kind::extension, note->bar, {note},
                 {"study.spot.extension", {{"finger", argument(stop->finger)}}});
    }
    if (hand && *hand != stop->hand) {
      const double places = std::abs(*hand - stop->hand);
      reader.add(Kind::shift, note->bar, {note},
                 {"study.spot.shift",
                  {{"position", std::string(position_of(reader.instrument, stop->hand).key)},
                   {"note", note->spelled.text()}}},
                 1 + 0.25 * places);
    }
    hand = stop->hand;
  }
}

// The same finger low and high in one bar (violin, viola).
void read_low_high(Reader& reader) {
  if (reader.instrument.count != HandCount::letters) return;
  for (const WrittenBar& bar : reader.bars) {
    std::map<int, std::set<FingerShape>> shapes;
    for (const TimelineNote* note : bar.notes) {
      const auto stop = stop_of(*note, reader.instrument);
      if (!stop || stop->hand != 1 || stop->finger == 0) continue;
      auto& of_finger = shapes[stop->finger];
      of_finger.insert(finger_shape(reader.instrument, *stop));
      if (of_finger.size() == 2) {
        reader.add(Kind::low_high, bar.number, {note},
                   {"study.spot.low-high", {{"finger", argument(stop->finger)}}});
      }
    }
  }
}

void read_accidentals(Reader& reader, const std::vector<AlteredNote>& altered) {
  std::map<std::string, const TimelineNote*> by_id;
  for (const TimelineNote& note : reader.timeline.notes) by_id.emplace(note.id, &note);
  for (const AlteredNote& note : altered) {
    if (note.in_signature) continue;
    for (const std::string& id : note.notes) {
      const TimelineNote* where = by_id[id];
      reader.add(Kind::accidental, where->bar, {where},
                 {"study.spot.accidental", {{"note", letter(note.pitch)}}});
    }
  }
}

bool is_dotted(Beats duration) { return duration.numerator() == 3 && duration != Beats(3); }

void read_rhythm(Reader& reader) {
  for (const WrittenBar& bar : reader.bars) {
    const bool compound = bar.beat.numerator() == 3;
    for (const TimelineNote* note : bar.notes) {
      const Beats in_bar = note->onset - bar.start;
      const Beats in_beats = in_bar / bar.beat;
      const Beats end = in_beats + note->duration / bar.beat;
      const Beats whole(static_cast<std::int64_t>(in_beats.to_double()));
      const bool off = in_beats.denominator() != 1;
      if (off && end > whole + Beats(1)) {
        reader.add(Kind::syncopation, bar.number, {note},
                   {"study.spot.syncopation", {{"beat", argument(beat_number(bar, in_bar))}}});
      }
      if (!compound && is_dotted(note->duration)) {
        reader.add(Kind::dotted, bar.number, {note}, {"study.spot.dotted", {}});
      }
      if (note->duration.denominator() % 3 == 0) {
        reader.add(Kind::triplet, bar.number, {note}, {"study.spot.triplet", {}});
      }
    }
  }
}

constexpr double long_bow_seconds = 4;

void read_bows(Reader& reader, const Notes& notes) {
  for (std::size_t i = 0; i < notes.size();) {
    std::size_t end = i + 1;
    const auto& slur = notes[i]->slur_id;
    while (slur && end < notes.size() && notes[end]->slur_id == slur) ++end;
    const TimelineNote& last = *notes[end - 1];
    const double seconds = reader.seconds(notes[i]->onset, last.onset + last.duration);
    if (seconds >= long_bow_seconds && !notes[i]->plucked) {
      reader.add(Kind::long_bow, notes[i]->bar,
                 Notes(notes.begin() + static_cast<std::ptrdiff_t>(i),
                       notes.begin() + static_cast<std::ptrdiff_t>(end)),
                 {"study.spot.long-bow", {{"seconds", argument(seconds, 0)}}}, seconds / 3);
    }
    i = end;
  }
}

void read_leaps(Reader& reader, const Notes& notes) {
  for (std::size_t i = 1; i < notes.size(); ++i) {
    const TimelineNote& a = *notes[i - 1];
    const TimelineNote& b = *notes[i];
    const int semitones = std::abs(a.midi - b.midi);
    if (a.onset == b.onset || semitones < 12) continue;
    reader.add(Kind::leap, b.bar, {&a, &b},
               {"study.spot.leap", {{"from", a.spelled.text()}, {"to", b.spelled.text()}}},
               semitones / 12.0);
  }
}

double notes_per_second(const Reader& reader, const WrittenBar& bar) {
  const double seconds = reader.seconds(bar.start, bar.start + bar.length);
  return seconds > 0 ? static_cast<double>(bar.notes.size()) / seconds : 0;
}

constexpr double dense_ratio = 1.8;

void read_density(Reader& reader) {
  double sum = 0;
  for (const WrittenBar& bar : reader.bars) sum += notes_per_second(reader, bar);
  const double average = sum / static_cast<double>(std::max<std::size_t>(1, reader.bars.size()));
  for (const WrittenBar& bar : reader.bars) {
    const double ratio = average > 0 ? notes_per_second(reader, bar) / average : 0;
    if (ratio < dense_ratio || bar.notes.size() < 4) continue;
    reader.add(Kind::dense, bar.number, bar.notes,
               {"study.spot.dense", {{"count", argument(static_cast<int>(bar.notes.size()))}}},
               ratio - 1);
  }
}

void read_strokes(Reader& reader) {
  for (const WrittenBar& bar : reader.bars) {
    std::set<Articulation> kinds_here;
    std::set<Beats> onsets;
    for (const TimelineNote* note : bar.notes) {
      kinds_here.insert(note->articulation);
      if (!onsets.insert(note->onset).second) {
        reader.add(Kind::double_stop, bar.number, {note}, {"study.spot.double-stop", {}});
      }
    }
    if (kinds_here.size() > 1) {
      reader.add(Kind::articulation, bar.number, bar.notes, {"study.spot.articulation", {}},
                 static_cast<double>(kinds_here.size()) - 1);
    }
  }
}

void read_twins(Reader& reader, const std::vector<TwinBars>& twins) {
  for (const TwinBars& twin : twins) {
    reader.add(Kind::twin_bar, twin.later, {}, twin.difference, twin.likeness);
    for (const std::string& id : twin.notes) reader.found.back().notes.push_back(id);
  }
}

}  // namespace

std::vector<Spot> spots(const Timeline& timeline, const std::vector<WrittenBar>& bars,
                        const Instrument& instrument, const Study& so_far) {
  Reader reader{timeline, bars, instrument, {}};
  const Notes notes = written_notes(timeline);
  read_twins(reader, so_far.twins);
  read_crossings(reader, notes);
  read_hand(reader, notes);
  read_low_high(reader);
  read_accidentals(reader, so_far.altered);
  read_rhythm(reader);
  read_bows(reader, notes);
  read_leaps(reader, notes);
  read_density(reader);
  read_strokes(reader);
  std::stable_sort(reader.found.begin(), reader.found.end(),
                   [](const Spot& a, const Spot& b) { return a.weight > b.weight; });
  return std::move(reader.found);
}

}  // namespace endpin::study_internal
