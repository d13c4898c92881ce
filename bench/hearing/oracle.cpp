#include "oracle.h"

#include <algorithm>
#include <cmath>

#include "measure/beat.h"

namespace endpin::evaluation {
namespace {

using namespace listen;

// Long enough that the stages have no doubt about what they are told.
constexpr double sure_margin = 20;
// How long after its last note's end playing leaves the score.
constexpr double leaves_after_s = 0.3;
// How a stroke of the bow shows, and one that goes on (docs/schema/hearing.schema.json): clear of
// every limit of the verdicts.
constexpr double stroke_dip_db = 15, stroke_attack = 3, slur_attack = -2, apart_fall_db = 30;
constexpr double least_gap_s = 0.03;

/// Which event of the score each note of the timeline belongs to.
std::vector<int> events_of_notes(const ScoreModel& score) {
  std::vector<int> events;
  for (std::size_t k = 0; k < score.events.size(); ++k) {
    for (const int place : score.events[k].notes) {
      const auto i = static_cast<std::size_t>(place);
      if (events.size() <= i) events.resize(i + 1, -1);
      events[i] = static_cast<int>(k);
    }
  }
  return events;
}

Placed placed_after(const std::vector<Placed>& before, int event, double onset_s) {
  Placed p;
  p.event = event;
  p.onset_s = onset_s;
  const int expected = before.empty() ? -1 : before.back().event + 1;
  p.jumped_to = before.empty() || (event != expected && event != expected + 1);
  p.skipped_before = !p.jumped_to && event == expected + 1;
  return p;
}

// The moments nearest to the true onsets, each used once: the best that the coarse search could do.
void move_to_candidates(std::span<const Candidate> at, Path& path) {
  std::size_t from = 0;
  for (Placed& p : path.placed) {
    std::size_t best = from;
    for (std::size_t c = from; c < at.size(); ++c) {
      const auto away = [&](std::size_t k) {
        return std::abs(static_cast<double>(at[k].time_s) - p.onset_s);
      };
      if (away(c) < away(best)) best = c;
      if (static_cast<double>(at[c].time_s) > p.onset_s + 0.5) break;
    }
    if (best < at.size()) p.onset_s = static_cast<double>(at[best].time_s);
    from = std::min(best + 1, at.size() - 1);
  }
  for (std::size_t i = 0; i + 1 < path.placed.size(); ++i) {
    Placed& p = path.placed[i];
    p.end_s =
        path.placed[i + 1].jumped_to ? std::max(p.end_s, p.onset_s) : path.placed[i + 1].onset_s;
  }
}

Fine fine_at(const Placed& p, double next_s) {
  Fine f;
  f.event = p.event;
  f.onset_s = p.onset_s;
  f.next_s = next_s;
  f.jumped_to = p.jumped_to;
  f.extra_before = p.extra_before;
  f.onset_share = 1;
  f.left_out_margin = sure_margin;
  return f;
}

Fine left_out_between(const Fine& before, const Placed& after) {
  Fine f;
  f.event = before.event + 1;
  f.left_out = true;
  f.onset_s = (before.onset_s + after.onset_s) / 2;
  f.next_s = f.sounds_until_s = after.onset_s;
  f.left_out_margin = -sure_margin;
  return f;
}

bool is_written(const Sounding& s, const ScoreModel& score, int event) {
  const auto& pitches = score.events[static_cast<std::size_t>(event)].pitches;
  return std::find(pitches.begin(), pitches.end(), s.midi) != pitches.end();
}

/// The note that begins an event at that time; null: none.
const Sounding* sounding_at(const Playing& playing, const std::vector<int>& events, const Fine& f) {
  for (const Sounding& s : playing.notes) {
    if (s.index < 0 || events[static_cast<std::size_t>(s.index)] != f.event) continue;
    if (std::abs(s.onset.value() - f.onset_s) < 0.001) return &s;
  }
  return nullptr;
}

/// The next that sounds after a note; null: none.
const Sounding* after(const Playing& playing, const Sounding& note) {
  for (const Sounding& s : playing.notes) {
    if (s.onset > note.onset) return &s;
  }
  return nullptr;
}

void tell_bowing(const Sounding& s, const Sounding* next, HeardNote& heard) {
  if (s.joined) {
    heard.dip = Decibels(*s.joined ? 0 : stroke_dip_db);
    heard.attack = *s.joined ? slur_attack : stroke_attack;
  }
  if (!next || !next->joined) return;
  const double gap_s = (next->onset - s.offset).value();
  heard.fall = Decibels(!*next->joined && gap_s >= least_gap_s ? apart_fall_db : 0);
}

/// What a note of the timeline was in truth. REQUIRES: it sounded.
void tell_note(const Sounding& s, const Sounding* next, double reference_cents, NoteHearing& n) {
  if (!n.heard) n.heard = HeardNote{};
  HeardNote& heard = *n.heard;
  heard.onset = s.onset;
  heard.offset = s.offset;
  heard.midi = s.midi;
  heard.confidence = 0.995;
  tell_bowing(s, next, heard);
  if (s.midi != n.midi) {
    heard.intonation.reset();
    heard.uncertainty.reset();
  } else if (s.cents) {
    heard.intonation = Cents(*s.cents - reference_cents);
    heard.uncertainty = Cents(1);
  }
}

// Sounding over written time, also where the sound does not tell it.
void tell_length(const Aligned& aligned, const std::vector<LocalBeat>& beats,
                 const std::vector<int>& events, NoteHearing& n) {
  for (std::size_t i = 0; i < aligned.events.size(); ++i) {
    const Fine& f = aligned.events[i];
    const bool its = f.event == events[static_cast<std::size_t>(n.index)] &&
                     std::abs(f.onset_s - n.heard->onset.value()) < 0.001;
    const Event& e = aligned.event(i);
    if (!its || e.last || e.plucked) continue;
    const Event& next = aligned.score.events[static_cast<std::size_t>(f.event) + 1];
    const double quarters = next.onset_quarters - e.onset_quarters;
    const double per_quarter = beats[i].seconds_per_written * e.seconds / quarters;
    n.heard->sounding_ratio = (*n.heard->offset - n.heard->onset).value() /
                              std::max(0.02, n.duration.to_double() * per_quarter);
  }
}

std::vector<ExtraNote> true_extras(const Playing& playing) {
  std::vector<ExtraNote> extras;
  int last = -1;
  for (const Sounding& s : playing.notes) {
    if (s.index < 0) extras.push_back({s.onset, s.offset, s.midi, last});
    if (s.index >= 0) last = s.index;
  }
  return extras;
}

}  // namespace

const char* name(Told told) {
  switch (told) {
    case Told::nothing:
      return "0 as shipped";
    case Told::run:
      return "1 told the run";
    case Told::onsets:
      return "2 told the onsets";
    case Told::tones:
      return "3 told the tones";
  }
  return "";
}

Playing playing_of(const simulator::Performance& performance) {
  Playing playing;
  const double a4 = interval(standard_a4, performance.a4).value();
  for (const auto& n : performance.notes) {
    playing.notes.push_back(
        {n.index, n.attempt, n.onset, n.offset, n.midi, n.cents + a4, n.joined});
  }
  std::stable_sort(playing.notes.begin(), playing.notes.end(),
                   [](const auto& a, const auto& b) { return a.onset < b.onset; });
  for (const auto& t : performance.truth) playing.states.emplace_back(t.state);
  for (const auto& r : performance.restarts) {
    playing.restarts.push_back({r.time, r.from_index, r.to_index});
  }
  return playing;
}

Playing playing_of(const std::vector<measures::TrueNote>& truth, std::size_t timeline_notes) {
  Playing playing;
  playing.states.resize(timeline_notes);
  for (const auto& row : truth) {
    for (const int index : row.indices) {
      playing.notes.push_back({index, false, row.onset, row.offset, row.midi, {}, {}});
      playing.states[static_cast<std::size_t>(index)] = NoteState::heard;
    }
  }
  std::stable_sort(playing.notes.begin(), playing.notes.end(),
                   [](const auto& a, const auto& b) { return a.onset < b.onset; });
  return playing;
}

Path true_path(const ScoreModel& score, const Playing& playing) {
  const std::vector<int> events = events_of_notes(score);
  Path path;
  path.score = 1e6;  // the right piece, surely
  bool extra = false;
  for (const Sounding& s : playing.notes) {
    if (s.index < 0) {
      extra = !path.placed.empty();
      continue;
    }
    const int event = events[static_cast<std::size_t>(s.index)];
    auto& placed = path.placed;
    if (!placed.empty()) {
      Placed& last = placed.back();
      if (last.event == event && s.onset.value() < last.onset_s + 0.1) continue;  // its chord
      last.end_s = std::min(s.onset.value(), last.end_s);
    }
    placed.push_back(placed_after(placed, event, s.onset.value()));
    placed.back().extra_before = extra;
    placed.back().end_s = s.offset.value() + leaves_after_s;
    if (placed.size() > 1 && !placed.back().jumped_to) {
      placed[placed.size() - 2].end_s = placed.back().onset_s;
    }
    extra = false;
  }
  return path;
}

std::vector<Fine> as_placed(const ScoreModel& score, const Observations& seen, const Path& path) {
  std::vector<Fine> events;
  const auto& placed = path.placed;
  for (std::size_t i = 0; i < placed.size(); ++i) {
    if (placed[i].skipped_before && !events.empty()) {
      events.push_back(left_out_between(events.back(), placed[i]));
    }
    const bool goes_on = i + 1 < placed.size() && !placed[i + 1].jumped_to;
    Fine f = fine_at(placed[i], goes_on ? placed[i + 1].onset_s : placed[i].end_s);
    find_end(score, seen, goes_on && placed[i + 1].extra_before, f);
    events.push_back(f);
  }
  return events;
}

StagedOptions Oracle::options() {
  StagedOptions options;
  options.between = this;
  options.evidence.tone_end = told_ < Told::tones;
  return options;
}

void Oracle::path(const ScoreModel& score, std::span<const Candidate> at, Path& path) {
  if (told_ < Told::run) return;
  path = true_path(score, playing_);
  move_to_candidates(at, path);
}

void Oracle::events(const ScoreModel& score, const Observations& seen, std::vector<Fine>& events) {
  if (told_ < Told::onsets) return;
  events = as_placed(score, seen, true_path(score, playing_));
  if (told_ < Told::tones) return;
  const std::vector<int> of_notes = events_of_notes(score);
  for (Fine& f : events) {
    const Sounding* s = f.left_out ? nullptr : sounding_at(playing_, of_notes, f);
    if (!s) continue;
    f.sounds_until_s = std::clamp(s->offset.value(), f.onset_s, f.next_s);
    f.another_tone = !is_written(*s, score, f.event);
  }
}

void Oracle::notes(const Aligned& aligned, Hearing& hearing) {
  if (told_ < Told::tones) return;
  const double reference =
      hearing.reference.a4 ? interval(standard_a4, *hearing.reference.a4).value() : 0;
  const std::vector<int> events = events_of_notes(aligned.score);
  const std::vector<LocalBeat> beats = local_beats(aligned.score, aligned.events);
  for (NoteHearing& n : hearing.notes) {
    const auto& state = playing_.states[static_cast<std::size_t>(n.index)];
    if (!state) continue;
    n.state = *state;
    if (n.state == NoteState::missed || n.state == NoteState::not_reached) n.heard.reset();
  }
  hearing.range_from.reset();
  hearing.range_to.reset();
  for (const NoteHearing& n : hearing.notes) {
    if (n.state == NoteState::not_reached) continue;
    hearing.range_from = hearing.range_from.value_or(n.index);
    hearing.range_to = n.index;
  }
  for (const Sounding& s : playing_.notes) {
    if (s.index < 0 || s.attempt) continue;
    NoteHearing& n = hearing.notes[static_cast<std::size_t>(s.index)];
    tell_note(s, after(playing_, s), reference, n);
    tell_length(aligned, beats, events, n);
  }
  hearing.extra = true_extras(playing_);
  hearing.restarts = playing_.restarts;
}

}  // namespace endpin::evaluation
