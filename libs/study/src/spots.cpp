#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <set>

#include "spot_reader.h"

namespace endpin::study_internal {
namespace {

struct KindData {
  const char* text;
  double weight;
};
constexpr KindData kinds[] = {
#define SPOT(name, text, weight, why) {text, weight},
#include "endpin/study/spot_weights.def"
#undef SPOT
};

void read_accidentals(SpotReader& reader, const std::vector<AlteredNote>& altered) {
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

void read_rhythm(SpotReader& reader) {
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

void read_leaps(SpotReader& reader, const Notes& notes) {
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

double notes_per_second(const SpotReader& reader, const WrittenBar& bar) {
  const double seconds = reader.seconds(bar.start, bar.start + bar.length);
  return seconds > 0 ? static_cast<double>(bar.notes.size()) / seconds : 0;
}

constexpr double dense_ratio = 1.8;

void read_density(SpotReader& reader) {
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

// How much longer everything lasts at the target tempo than in the timeline's.
double tempo_ratio(const Timeline& timeline, const TempoPlan& plan) {
  const double target = plan.target * plan.beat_unit.to_double();
  return timeline.tempo.tempo_at(Beats(0)).value() / target;
}

void read_twins(SpotReader& reader, const std::vector<TwinBars>& twins) {
  for (const TwinBars& twin : twins) {
    reader.add(Kind::twin_bar, twin.later, {}, twin.difference, twin.likeness);
    for (const std::string& id : twin.notes) reader.found.back().notes.push_back(id);
  }
}

}  // namespace

double SpotReader::seconds(Beats from, Beats to) const {
  const Seconds at = timeline.tempo.seconds_at(from);
  const double as_written = (timeline.tempo.seconds_at(to) - at).value();
  return as_written * slower;
}

void SpotReader::add(Kind kind, const std::string& bar, const Notes& notes, const Sentence& reason,
                     double measure) {
  const KindData& data = kinds[static_cast<std::size_t>(kind)];
  const auto [place, fresh] = places.emplace(std::pair(kind, bar), found.size());
  if (fresh) found.push_back({data.text, bar, {}, reason, 0, 0});
  Spot& spot = found[place->second];
  for (const TimelineNote* note : notes) {
    if (spot.notes.empty() || spot.notes.back() != note->id) spot.notes.push_back(note->id);
  }
  if (measure <= spot.measure) return;
  spot.measure = measure;
  spot.weight = data.weight * measure;
  spot.reason = reason;
}

std::vector<Spot> spots(const Timeline& timeline, const std::vector<WrittenBar>& bars,
                        const Instrument& instrument, const StudyOptions& options,
                        const Study& so_far) {
  SpotReader reader{timeline, bars, instrument, options, tempo_ratio(timeline, so_far.tempo),
                    {},       {}};
  const Notes notes = written_notes(timeline);
  read_twins(reader, so_far.twins);
  read_hand_spots(reader, notes);
  read_bow_spots(reader, notes);
  read_accidentals(reader, so_far.altered);
  read_rhythm(reader);
  read_leaps(reader, notes);
  read_density(reader);
  std::stable_sort(reader.found.begin(), reader.found.end(),
                   [](const Spot& a, const Spot& b) { return a.weight > b.weight; });
  return std::move(reader.found);
}

}  // namespace endpin::study_internal
