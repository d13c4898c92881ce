#include "align/score_model.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace endpin::listen {
namespace {

constexpr double shortest_s = 0.02;

// Events of one item without what depends on neighbours.
std::vector<Event> bare_events(const Timeline& timeline, int item, int first_note) {
  std::vector<Event> events;
  const TimelineNote* before = nullptr;
  for (const TimelineNote& n : timeline.notes) {
    if (!before || before->onset != n.onset) {
      events.emplace_back();
      events.back().item = item;
      events.back().onset_quarters = n.onset.to_double();
    }
    Event& e = events.back();
    e.notes.push_back(first_note + n.index);
    e.pitches.push_back(n.midi);
    e.plucked = e.plucked || n.plucked;
    e.fermata = e.fermata || n.fermata;
    e.ornamented = e.ornamented || n.ornament != Ornament::none || n.graces_before > 0;
    before = &n;
  }
  for (Event& e : events) {
    std::sort(e.pitches.begin(), e.pitches.end());
    e.pitches.erase(std::unique(e.pitches.begin(), e.pitches.end()), e.pitches.end());
  }
  return events;
}

const TimelineNote& note(const Timeline& t, int first_note, int place) {
  return t.notes[static_cast<std::size_t>(place - first_note)];
}

bool goes_on_in_stroke(const TimelineNote& from, const TimelineNote& to) {
  const bool slur = from.slur_id && from.slur_id == to.slur_id;
  const bool stroke =
      from.stroke_id && from.stroke_id == to.stroke_id && to.articulation == Articulation::none;
  return slur || stroke;
}

void join(const Timeline& t, int first_note, Event& before, Event& e) {
  e.slurred = std::all_of(e.notes.begin(), e.notes.end(), [&](int place) {
    return std::any_of(before.notes.begin(), before.notes.end(), [&](int earlier) {
      return goes_on_in_stroke(note(t, first_note, earlier), note(t, first_note, place));
    });
  });
  e.repeated = !e.slurred && std::any_of(e.pitches.begin(), e.pitches.end(), [&](int p) {
    return std::binary_search(before.pitches.begin(), before.pitches.end(), p);
  });
}

void add_lengths(const Timeline& t, int first_note, double scale, std::vector<Event>& events) {
  const auto at = [&](Beats b) { return t.tempo.seconds_at(b).value() * scale; };
  Beats sounding_until;
  for (std::size_t i = 0; i < events.size(); ++i) {
    Event& e = events[i];
    const Beats onset = note(t, first_note, e.notes.front()).onset;
    Beats end = onset;
    for (int place : e.notes) {
      const TimelineNote& n = note(t, first_note, place);
      end = std::max(end, n.onset + n.duration);
    }
    e.first = i == 0;
    e.last = i + 1 == events.size();
    const Beats next = e.last ? end : note(t, first_note, events[i + 1].notes.front()).onset;
    e.seconds = std::max(shortest_s, at(next) - at(onset));
    e.after_rest = i > 0 && sounding_until < onset;
    sounding_until = std::max(sounding_until, end);
    e.sounding_seconds =
        std::min(e.seconds, std::max(shortest_s, at(std::min(end, next)) - at(onset)));
    if (i > 0) join(t, first_note, events[i - 1], e);
  }
}

// Earlier notes that sound into an event. O(notes · voices).
void add_held(const Timeline& t, int first_note, std::vector<Event>& events) {
  struct Sounding {
    Beats end;
    int midi;
  };
  std::vector<Sounding> sounding;
  std::size_t begun = 0;
  for (Event& e : events) {
    const int first = e.notes.front() - first_note;
    const Beats onset = t.notes[static_cast<std::size_t>(first)].onset;
    for (; begun < static_cast<std::size_t>(first); ++begun) {
      const TimelineNote& n = t.notes[begun];
      sounding.push_back({n.onset + n.duration, n.midi});
    }
    std::erase_if(sounding, [&](const Sounding& s) { return s.end <= onset; });
    for (const Sounding& s : sounding) e.held.push_back(s.midi);
    std::sort(e.held.begin(), e.held.end());
    e.held.erase(std::unique(e.held.begin(), e.held.end()), e.held.end());
  }
}

// Which bars are asked for, in every pass: from the one named first until after the one named last.
std::vector<bool> bars_asked_for(const Timeline& t, const HearOptions& options) {
  std::vector<bool> asked;
  bool inside = !options.bars.has_value();
  const std::string* before = nullptr;
  for (const TimelineBar& bar : t.bars) {
    if (options.bars) {
      const bool after = before && *before == options.bars->to && bar.number != *before;
      inside = bar.number == options.bars->from || (inside && !after);
    }
    asked.push_back(inside);
    before = &bar.number;
  }
  return asked;
}

// The bar in which each event begins; 0 where the timeline has none.
std::vector<std::size_t> bars_of(const Timeline& t, int first_note,
                                 const std::vector<Event>& events) {
  std::vector<std::size_t> bars;
  std::size_t bar = 0;
  for (const Event& e : events) {
    const Beats onset = note(t, first_note, e.notes.front()).onset;
    while (bar + 1 < t.bars.size() && t.bars[bar + 1].start <= onset) ++bar;
    bars.push_back(bar);
  }
  return bars;
}

void add_bars(const Timeline& t, int first_note, const HearOptions& options,
              const std::vector<std::size_t>& bars, std::vector<Event>& events) {
  const std::vector<bool> asked = bars_asked_for(t, options);
  for (std::size_t i = 0; i < events.size(); ++i) {
    Event& e = events[i];
    const Beats onset = note(t, first_note, e.notes.front()).onset;
    e.bar_start = e.first || (bars[i] < t.bars.size() && t.bars[bars[i]].start == onset);
    e.open_to_play = !options.bars || (bars[i] < asked.size() && asked[bars[i]]);
  }
}

// Where the next bar is a repeat of what was played: the first event after it in print.
void add_repeats(const Timeline& t, int first_event, const std::vector<std::size_t>& bars,
                 std::vector<Event>& events) {
  if (t.bars.empty()) return;
  for (std::size_t i = 0; i + 1 < events.size(); ++i) {
    if (bars[i + 1] == bars[i]) continue;
    const TimelineBar &here = t.bars[bars[i]], &next = t.bars[bars[i + 1]];
    if (next.written_index > here.written_index) continue;
    for (std::size_t j = i + 1; j < events.size(); ++j) {
      if (t.bars[bars[j]].written_index <= here.written_index) continue;
      events[i].after_repeat = first_event + static_cast<int>(j);
      break;
    }
  }
}

void number_pitch_sets(ScoreModel& model) {
  std::map<std::pair<std::vector<int>, std::vector<int>>, int> known;
  for (std::size_t i = 0; i < model.events.size(); ++i) {
    Event& e = model.events[i];
    std::vector<int> key = e.pitches;
    if (e.ornamented) key.push_back(-1);
    const auto [found, is_new] =
        known.try_emplace({key, e.held}, static_cast<int>(model.pitch_set_examples.size()));
    if (is_new) model.pitch_set_examples.push_back(static_cast<int>(i));
    e.pitch_set = found->second;
    model.lowest_midi = std::min(model.lowest_midi, e.pitches.front());
    model.highest_midi = std::max(model.highest_midi, e.pitches.back());
  }
}

}  // namespace

ScoreModel score_model(std::span<const Timeline> items, const HearOptions& options) {
  ScoreModel model;
  int first_note = 0, item = 0;
  for (const Timeline& t : items) {
    double scale = 1;
    if (options.tempo_hint && options.tempo_hint->value() > 0) {
      scale = t.tempo.tempo_at(Beats(0)).value() / options.tempo_hint->value();
    }
    auto events = bare_events(t, item, first_note);
    add_lengths(t, first_note, scale, events);
    add_held(t, first_note, events);
    const std::vector<std::size_t> bars = bars_of(t, first_note, events);
    add_bars(t, first_note, options, bars, events);
    add_repeats(t, static_cast<int>(model.events.size()), bars, events);
    model.events.insert(model.events.end(), events.begin(), events.end());
    first_note += static_cast<int>(t.notes.size());
    ++item;
  }
  number_pitch_sets(model);
  return model;
}

}  // namespace endpin::listen
