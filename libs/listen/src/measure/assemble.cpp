#include "measure/assemble.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "measure/beat.h"
#include "measure/extras.h"
#include "measure/stroke.h"
#include "measure/tone.h"

namespace endpin::listen {
namespace {

// What makes a note's place taken by another pitch. From the contract: 80 ms, the written note
// rejected; the rest ours, on the side of silence.
constexpr double wrong_stable_s = 0.08, wrong_share = 0.7, wrong_evidence = -2.6,
                 wrong_own_partials = 0.25, wrong_lead = 0.15;
constexpr double heard_evidence = -1.7, heard_present = 0.4;
constexpr double surely_left_out = -3.0;
constexpr double off_but_there_cents = 62, off_but_there_tracked = 0.75;

double logistic(double x) { return 1 / (1 + std::exp(-x)); }

class Assembly {
 public:
  Assembly(const Aligned& aligned, Hearing& hearing)
      : a_(aligned), h_(hearing), beats_(local_beats(aligned.score, aligned.events)) {}

  void run() {
    for (std::size_t i = 0; i < a_.events.size(); ++i) {
      for (int place : event(i).notes) add_note(i, place);
    }
    judge_left_out();
    add_jumps();
    h_.extra = find_extras(a_, h_);
    join_extras_to_left_out();
    add_segments();
    add_range();
    add_bars();
  }

 private:
  const Event& event(std::size_t i) const {
    return a_.score.events[static_cast<std::size_t>(a_.events[i].event)];
  }
  NoteHearing& note(int place) { return h_.notes[static_cast<std::size_t>(place)]; }

  // Where a note ends: in the event in which its written length runs out.
  std::size_t last_event_of(std::size_t i, const NoteHearing& n) const {
    const double end = n.onset.to_double() + n.duration.to_double() - 1e-9;
    std::size_t j = i;
    while (j + 1 < a_.events.size() && a_.events[j + 1].event == a_.events[j].event + 1 &&
           event(j + 1).item == event(i).item && event(j + 1).onset_quarters < end) {
      ++j;
    }
    return j;
  }

  void add_note(std::size_t i, int place) {
    NoteHearing& n = note(place);
    const Fine& f = a_.events[i];
    if (f.left_out) {
      if (!n.heard) n.state = NoteState::uncertain;
      return;
    }
    if (n.heard) n.attempts.push_back({n.heard->onset, n.heard->offset.value_or(n.heard->onset)});
    const std::size_t last = last_event_of(i, n);
    const double offset = a_.events[last].sounds_until_s, next = a_.events[last].next_s;
    const Tone tone = measure_tone(a_.seen, event(i), n.midi, f.onset_s,
                                   std::min(offset, f.next_s + 0.0), a_.shift_cents);
    HeardNote heard;
    heard.onset = Seconds(f.onset_s);
    heard.offset = Seconds(offset);
    heard.midi = n.midi;
    heard.intonation = tone.intonation;
    heard.uncertainty = tone.uncertainty;
    if (beats_[i].deviation_s) heard.deviation_ms = 1000 * *beats_[i].deviation_s;
    if (!event(i).plucked) add_length(i, last, n, offset, next, heard);
    heard.level = Decibels(mean_level(f.onset_s, offset));
    heard.vibrato = tone.vibrato;
    heard.dip = Decibels(level_dip(a_.seen.sound(), f.onset_s));
    heard.attack = strongest_onset(a_.onset_evidence, a_.seen.sound().step_s, f.onset_s - 0.02,
                                   f.onset_s + 0.02);
    n.state = judge(i, tone);
    if (n.state == NoteState::uncertain && nothing_there(i, n.midi)) {
      n.state = NoteState::missed;
      return;
    }
    if (n.state == NoteState::wrong) {
      heard.midi = tone.rival;
      heard.intonation.reset();
      heard.uncertainty.reset();
      heard.vibrato.reset();
    }
    heard.confidence = confidence(f, tone);
    n.heard = heard;
    tones_[place] = tone;
  }

  void add_length(std::size_t i, std::size_t last, const NoteHearing& n, double offset, double next,
                  HeardNote& heard) const {
    const double real = offset - a_.events[i].onset_s;
    const double per_quarter = beats_[i].seconds_per_written * event(i).seconds / quarters_of(i);
    heard.sounding_ratio = real / std::max(0.02, n.duration.to_double() * per_quarter);
    const bool goes_on = last + 1 < a_.events.size() && !a_.events[last + 1].jumped_to;
    if (goes_on) heard.gap = Seconds(next - offset);
  }

  double quarters_of(std::size_t i) const {
    const Event& e = event(i);
    const std::size_t k = static_cast<std::size_t>(a_.events[i].event);
    if (!e.last) return a_.score.events[k + 1].onset_quarters - e.onset_quarters;
    double longest = 0.01;
    for (int place : e.notes) {
      longest = std::max(longest, h_.notes[static_cast<std::size_t>(place)].duration.to_double());
    }
    return longest;
  }

  double mean_level(double from_s, double to_s) const {
    const auto& onset = a_.seen.sound().onset;
    const double step = a_.seen.sound().step_s;
    const std::size_t from = std::min(onset.size() - 1, static_cast<std::size_t>(from_s / step));
    const std::size_t to = std::min(onset.size(), static_cast<std::size_t>(to_s / step) + 1);
    double sum = 0;
    for (std::size_t f = from; f < to; ++f) sum += static_cast<double>(onset[f].level_db);
    return to > from ? sum / static_cast<double>(to - from) : -90;
  }

  NoteState judge(std::size_t i, const Tone& tone) const {
    if (tone.settled_s <= 0) return NoteState::uncertain;
    if (tone.evidence > heard_evidence || tone.present >= heard_present) return NoteState::heard;
    if (off_but_there(tone)) return NoteState::heard;
    const bool rejected = tone.evidence < wrong_evidence && tone.present < 0.15 &&
                          tone.own_partials < wrong_own_partials;
    const bool stable = tone.rival >= 0 && tone.rival_share >= wrong_share &&
                        tone.rival_s >= wrong_stable_s && tone.rival_lead > wrong_lead;
    if (rejected && stable && proven(tone, event(i).pitches.front()) && !rings_on(i, tone.rival) &&
        neighbours_found(i) && event(i).pitches.size() == 1 && event(i).held.empty() &&
        !event(i).ornamented) {
      return NoteState::wrong;
    }
    return NoteState::uncertain;
  }

  // Its place was kept, but nothing of it sounded between its neighbours.
  bool nothing_there(std::size_t i, int midi) const {
    const Fine& f = a_.events[i];
    const bool empty = f.sounds_until_s - f.onset_s < 0.06 && f.next_s - f.onset_s > 0.15;
    if (!empty || event(i).pitches.size() > 1 || event(i).plucked || !neighbours_found(i)) {
      return false;
    }
    const Tone all = measure_tone(a_.seen, event(i), midi, f.onset_s, f.next_s, a_.shift_cents);
    std::size_t silent = 0, frames = 0;
    for (double t = f.onset_s; t < f.next_s; t += a_.seen.step_s()) {
      const std::size_t k =
          std::min(a_.seen.frames() - 1, static_cast<std::size_t>(t / a_.seen.step_s()));
      ++frames, silent += a_.seen.quiet(k) || a_.seen.ringing(k);
    }
    return all.present < 0.15 && silent * 10 > frames * 7;
  }

  // Its partials stand there, if not in tune.
  static bool off_but_there(const Tone& tone) {
    return tone.intonation && std::abs(tone.intonation->value()) < off_but_there_cents &&
           std::abs(tone.intonation->value()) > 30 && tone.uncertainty->value() < 8 &&
           tone.tracked > off_but_there_tracked;
  }

  // An octave or a twelfth below the written note has all its partials: it must show its own.
  static bool proven(const Tone& tone, int midi) {
    const int below = midi - tone.rival;
    return (below != 12 && below != 19 && below != 24) || tone.rival_own > 0.8;
  }

  // The rival was to be heard just before or comes just after: it may ring or be early.
  bool rings_on(std::size_t i, int rival) const {
    const auto has = [&](std::size_t j) {
      const auto& p = event(j).pitches;
      return std::binary_search(p.begin(), p.end(), rival);
    };
    return (i > 0 && has(i - 1) && !onset_is_clear(i)) || (i + 1 < a_.events.size() && has(i + 1));
  }
  bool onset_is_clear(std::size_t i) const { return a_.events[i].onset_share > 0.9; }

  bool neighbours_found(std::size_t i) const {
    const auto good = [&](std::size_t j) {
      if (a_.events[j].left_out) return false;
      const Event& e = event(j);
      const Tone t = measure_tone(a_.seen, e, e.pitches.back(), a_.events[j].onset_s,
                                  a_.events[j].sounds_until_s, a_.shift_cents);
      return t.evidence > heard_evidence;
    };
    const bool before = i == 0 || a_.events[i].jumped_to || good(i - 1);
    const bool after = i + 1 >= a_.events.size() || a_.events[i + 1].jumped_to || good(i + 1);
    return before && after;
  }

  static double confidence(const Fine& f, const Tone& tone) {
    const double evidence = off_but_there(tone) ? std::max(tone.evidence, -0.3) : tone.evidence;
    const double present = off_but_there(tone) ? 0.8 : tone.present;
    const double pitch = logistic(2.0 + 1.3 * evidence + 1.5 * (present - 0.5));
    return std::clamp(pitch * (0.3 + 0.7 * f.onset_share), 0.0, 0.995);
  }

  void judge_left_out() {
    for (std::size_t i = 0; i < a_.events.size(); ++i) {
      if (!a_.events[i].left_out) continue;
      const bool sure = a_.events[i].left_out_margin < surely_left_out && neighbours_found(i);
      for (int place : event(i).notes) {
        if (!note(place).heard) note(place).state = sure ? NoteState::missed : NoteState::uncertain;
      }
    }
  }

  // A note left out where a foreign one sounds: the one was played for the other.
  void join_extras_to_left_out() {
    std::erase_if(h_.extra, [&](const ExtraNote& extra) {
      for (std::size_t i = 0; i < a_.events.size(); ++i) {
        const Event& e = event(i);
        if (e.pitches.size() != 1 || !e.held.empty()) continue;
        NoteHearing& n = note(e.notes.front());
        const bool empty = !n.heard && (n.state == NoteState::missed || a_.events[i].left_out);
        if (!empty || !stands_for(i, extra) || extra.midi == n.midi) continue;
        n.state = NoteState::wrong;
        n.heard = HeardNote{};
        n.heard->onset = extra.onset;
        n.heard->offset = extra.offset;
        n.heard->midi = extra.midi;
        return true;
      }
      return false;
    });
  }

  bool stands_for(std::size_t i, const ExtraNote& extra) const {
    const double from = i > 0 ? a_.events[i - 1].onset_s : a_.events[i].onset_s - 0.2;
    const double to = i + 1 < a_.events.size() ? a_.events[i + 1].onset_s : a_.events[i].next_s;
    const double length = (extra.offset - extra.onset).value();
    return extra.onset.value() > from && extra.offset.value() < to + 0.1 &&
           length > 0.4 * event(i).seconds * beats_[i].seconds_per_written;
  }

  int first_note(std::size_t i) { return note(event(i).notes.front()).index; }
  int last_note(std::size_t i) { return note(event(i).notes.back()).index; }

  void add_jumps() {
    for (std::size_t i = 1; i < a_.events.size(); ++i) {
      if (!a_.events[i].jumped_to || event(i).item != event(i - 1).item) continue;
      const int from = a_.events[i - 1].event, to = a_.events[i].event;
      if (to <= from) {
        h_.restarts.push_back({Seconds(a_.events[i].onset_s), last_note(i - 1), first_note(i)});
      } else {
        jumped_over(from, to, time_was_there(i) ? NoteState::uncertain : NoteState::missed);
      }
    }
  }

  // Whether the jump before event `i` took as long as what it jumped over: then that may well have
  // been played and not been told from the noise. Half its time is enough for the doubt.
  bool time_was_there(std::size_t i) const {
    double written = 0;
    for (int k = a_.events[i - 1].event + 1; k < a_.events[i].event; ++k) {
      written += a_.score.events[static_cast<std::size_t>(k)].seconds;
    }
    const double pace = beats_[i - 1].seconds_per_written;
    const double passed =
        a_.events[i].onset_s - a_.events[i - 1].onset_s - event(i - 1).seconds * pace;
    return passed > 0.5 * written * pace;
  }

  void jumped_over(int from, int to, NoteState state) {
    for (int k = from + 1; k < to; ++k) {
      for (int place : a_.score.events[static_cast<std::size_t>(k)].notes) {
        if (!note(place).heard) note(place).state = state;
      }
    }
  }

  void add_segments() {
    const auto& events = a_.events;
    double at = 0;
    for (std::size_t i = 0; i < events.size();) {
      std::size_t j = i;
      while (j + 1 < events.size() && !events[j + 1].jumped_to) ++j;
      add_between(at, events[i].onset_s);
      Segment s;
      s.item = event(i).item;
      s.from = Seconds(events[i].onset_s);
      s.to = Seconds(events[j].next_s);
      s.from_index = first_note(i);
      s.to_index = last_note(j);
      h_.segments.push_back(s);
      at = events[j].next_s;
      i = j + 1;
    }
    add_between(at, h_.recording.length.value());
  }

  void add_between(double from_s, double to_s) {
    if (to_s - from_s < 0.25) return;
    std::size_t quiet = 0, all = 0;
    for (std::size_t f = static_cast<std::size_t>(from_s / a_.seen.step_s());
         f < a_.seen.frames() && static_cast<double>(f) * a_.seen.step_s() < to_s; ++f) {
      ++all, quiet += a_.seen.quiet(f);
    }
    Segment s;
    s.kind = quiet * 10 > all * 8 ? SegmentKind::silence : SegmentKind::other;
    s.from = Seconds(from_s);
    s.to = Seconds(to_s);
    h_.segments.push_back(s);
  }

  void add_range() {
    for (const NoteHearing& n : h_.notes) {
      if (n.state == NoteState::not_reached) continue;
      h_.range_from = std::min(h_.range_from.value_or(n.index), n.index);
      h_.range_to = std::max(h_.range_to.value_or(n.index), n.index);
    }
  }

  void add_bars() {
    struct Sum {
      double cents = 0, late = 0, ratio = 0;
      int n_cents = 0, n_late = 0, n_ratio = 0;
    };
    std::vector<std::pair<std::string, int>> order;
    std::map<std::pair<std::string, int>, Sum> sums;
    for (const NoteHearing& n : h_.notes) {
      if (n.state != NoteState::heard || !n.heard) continue;
      const auto key = std::pair(n.bar, n.pass);
      if (!sums.contains(key)) order.push_back(key);
      Sum& s = sums[key];
      const HeardNote& x = *n.heard;
      if (x.intonation) s.cents += x.intonation->value(), ++s.n_cents;
      if (x.deviation_ms) s.late += *x.deviation_ms, ++s.n_late;
      if (x.sounding_ratio) s.ratio += *x.sounding_ratio, ++s.n_ratio;
    }
    for (const auto& key : order) {
      const Sum& s = sums[key];
      BarHearing b;
      b.bar = key.first;
      b.pass = key.second;
      if (s.n_cents) b.intonation = Cents(s.cents / s.n_cents);
      if (s.n_late) b.deviation_ms = s.late / s.n_late;
      if (s.n_ratio) b.sounding_ratio = s.ratio / s.n_ratio;
      h_.bars.push_back(b);
    }
  }

  const Aligned& a_;
  Hearing& h_;
  std::vector<LocalBeat> beats_;
  std::map<int, Tone> tones_;
};

}  // namespace

void assemble(const Aligned& aligned, Hearing& hearing) { Assembly(aligned, hearing).run(); }

void assemble_tempo(const Aligned& aligned, std::span<const Timeline> items, Hearing& hearing) {
  const auto beats = local_beats(aligned.score, aligned.events);
  std::vector<double> factors, places;
  for (std::size_t i = 0; i < aligned.events.size(); ++i) {
    const Event& e = aligned.score.events[static_cast<std::size_t>(aligned.events[i].event)];
    if (aligned.events[i].left_out || e.last) continue;
    const double next =
        aligned.score.events[static_cast<std::size_t>(aligned.events[i].event) + 1].onset_quarters;
    const double bpm = 60 * (next - e.onset_quarters) / (e.seconds * beats[i].seconds_per_written);
    factors.push_back(std::log(bpm));
    places.push_back(aligned.events[i].onset_s);
    if (e.bar_start) hearing.tempo.curve.push_back({e.onset_quarters, bpm});
  }
  if (factors.size() < 4 || items.empty()) return;
  std::vector<double> sorted = factors;
  std::sort(sorted.begin(), sorted.end());
  const double middle = sorted[sorted.size() / 2];
  hearing.tempo.beat_unit = items[0].beat_unit;
  hearing.tempo.bpm = std::exp(middle) / items[0].beat_unit.to_double();
  double x = 0, y = 0, xx = 0, xy = 0;
  const double n = static_cast<double>(factors.size());
  for (std::size_t i = 0; i < factors.size(); ++i) x += places[i] / n, y += factors[i] / n;
  for (std::size_t i = 0; i < factors.size(); ++i) {
    xx += (places[i] - x) * (places[i] - x), xy += (places[i] - x) * (factors[i] - y);
  }
  if (xx > 0) {
    hearing.tempo.drift_percent = 100 * (std::exp(xy / xx * (places.back() - places.front())) - 1);
  }
}

}  // namespace endpin::listen
