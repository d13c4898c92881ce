#include "measure/assemble.h"

#include <algorithm>
#include <cmath>

#include "measure/beat.h"
#include "measure/company.h"
#include "measure/doubts.h"
#include "measure/extras.h"
#include "measure/fall.h"
#include "measure/note_judge.h"
#include "measure/segments.h"
#include "measure/stroke.h"
#include "measure/tone.h"
#include "measure/tone_end.h"
#include "quantiles.h"

namespace endpin::listen {
namespace {

constexpr double same_place_s = 0.03;
// A tone that stands before a doubtful note belongs to it where the note has no more of a stroke
// than this, decibels and log likelihood (in slurs, of notes without one, 95 in 100 have less:
// ours).
constexpr double no_stroke_attack = 1, no_stroke_dip_db = 5, longest_lag_s = 0.25;
constexpr double stopped_s = 0.3;         // ours
constexpr double surely_left_out = -3.0;  // log odds of being played (ours)
// Of what it is written for, and its sound: the search kept a place, because notes follow each
// other, but hears nothing in it (ours).
constexpr double too_small = 0.7, soundless_s = 0.02;
constexpr std::size_t looked_before = 24, looked_after = 3,
                      looked_near = 6;  // events around a jump (ours)

constexpr std::ptrdiff_t lost_near = 4, lost_in_row = 2;  // events (ours)
constexpr double hardly_there_s = 0.06, there_s = 0.12, sure_enough = 0.6, doubtful = 0.5,
                 mostly = 0.5, surely_silent = 0.85;  // ours
constexpr double before_due_s = 0.1;  // a last note that is that much shorter ends of itself (ours)
// Of simulated notes 2 to 13 in 100 lie elsewhere where others play. Below what the verdicts on
// time and length ask of a note.
constexpr double unsure_of_place = 0.92;
constexpr double may_begin_before_s = 0.2, struck_attack = 1.5;  // ours
constexpr int furthest_left_out = 48;  // events: further on it is rather another place (ours)

class Assembly {
 public:
  Assembly(const Aligned& aligned, Hearing& hearing)
      : a_(aligned),
        h_(hearing),
        beats_(local_beats(aligned.score, aligned.events)),
        pace_(middle_pace(beats_)),
        judge_(aligned) {}

  void run() {
    for (std::size_t i = 0; i < a_.events.size(); ++i) {
      for (int place : event(i).notes) add_note(i, place);
    }
    in_company_ = is_in_company();
    judge_left_out();
    doubt_beginnings();
    add_jumps();
    if (in_company_) {
      doubt_in_company();
    } else {
      h_.extra = find_extras(a_, beats_, h_);
      join_extras_to_their_notes();
      drop_extras_where_the_place_was_lost();
      measure_before_extras();
    }
    add_range();
    assemble_segments(a_, h_);
  }

 private:
  const Event& event(std::size_t i) const { return a_.event(i); }
  NoteHearing& note(int place) { return h_.notes[static_cast<std::size_t>(place)]; }
  const NoteHearing& note(int place) const { return h_.notes[static_cast<std::size_t>(place)]; }

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
    const double next = a_.events[last].next_s;
    const auto [tone, offset, sure] = tone_in_place(i, last, n.midi);
    HeardNote heard;
    heard.onset = Seconds(f.onset_s);
    heard.onset_uncertainty = Seconds(onset_doubt_s(event(i), f));
    heard.offset = Seconds(offset);
    heard.offset_uncertainty = Seconds(end_doubt_s(last));
    heard.midi = n.midi;
    be_at_pitch_of(tone, heard);
    if (beats_[i].deviation_s) {
      heard.deviation_ms = 1000 * *beats_[i].deviation_s;
      heard.deviation_uncertainty_ms =
          1000 * std::hypot(heard.onset_uncertainty->value(), beats_[i].doubt_s);
    }
    measure_beginning(heard);
    n.state = judge_.judge(i, n.midi, tone);
    led_ += NoteJudge::another_leads(tone);
    if (n.state == NoteState::uncertain && judge_.nothing_there(i, n.midi)) {
      n.state = NoteState::missed;
      return;
    }
    if (n.state == NoteState::wrong) {
      be_another(heard, tone.rival);
    } else {
      refine_end(i, last, n.midi, heard);
    }
    if (!event(i).plucked) add_length(i, last, n, heard.offset->value(), next, heard);
    const double likeness = NoteJudge::likeness(f, n.midi, tone);
    heard.confidence = calibrated(sure ? likeness : std::min(likeness, doubtful));
    n.heard = heard;
  }

  // How it begins where it was placed, and how loud it is from there.
  void measure_beginning(HeardNote& heard) const {
    const double at = heard.onset.value();
    heard.level = Decibels(mean_level(at, heard.offset.value_or(heard.onset).value()));
    heard.dip = Decibels(level_dip(a_.seen.sound(), at));
    heard.attack = a_.seen.sound().strongest_onset(at - 0.02, at + 0.02);
  }

  static void be_at_pitch_of(const Tone& tone, HeardNote& heard) {
    heard.intonation = tone.intonation;
    heard.uncertainty = tone.uncertainty;
    heard.vibrato = tone.vibrato;
  }

  // Of a pitch that is not the written one nothing is known but that it sounded.
  static void be_another(HeardNote& heard, int midi) {
    heard.midi = midi;
    heard.intonation.reset();
    heard.uncertainty.reset();
    heard.vibrato.reset();
  }

  struct Placed {
    Tone tone;
    double until_s = 0;
    bool sure = true;  ///< that it begins where it was placed
  };

  Tone tone_until(std::size_t i, int midi, double until_s) const {
    return measure_tone(a_.seen, event(i), midi, a_.events[i].onset_s, until_s, a_.shift_cents,
                        judge_.nearby(i));
  }

  std::optional<ToneEnd> end_of_tone(std::size_t i, int midi, double before_s) const {
    if (!a_.seen.uses().tone_end) return std::nullopt;
    return tone_end(a_.seen, midi, a_.events[i].onset_s, before_s, a_.shift_cents);
  }

  // What sounded in a note's place, and until when. The alignment may have taken a tone that is off
  // its pitch for none, and a silence or another tone after it for the note: where its partials end
  // tells more then.
  Placed tone_in_place(std::size_t i, std::size_t last, int midi) const {
    const Fine& f = a_.events[i];
    const double until = a_.events[last].sounds_until_s;
    const Placed placed{tone_until(i, midi, std::min(until, f.next_s)), until};
    const bool empty = until - f.onset_s < hardly_there_s && f.next_s - f.onset_s > there_s;
    if (!empty && NoteJudge::likeness(f, midi, placed.tone) > sure_enough) return placed;
    if (last != i || event(i).pitches.size() != 1 || !event(i).held.empty()) return placed;
    const auto end = end_of_tone(i, midi, f.next_s);
    if (!end || end->at_s - f.onset_s < there_s) return placed;
    if (!empty && end->at_s > until - there_s) return placed;
    if (a_.seen.silent_share(f.onset_s, end->at_s) > mostly) return placed;
    const Placed own{tone_until(i, midi, end->at_s), end->at_s, !empty};
    return empty || NoteJudge::stands_out(own.tone) ? own : placed;
  }

  // A soft beginning is lost in noise: where the note before has ended and this one's pitch stands
  // before its place, it may have begun there.
  void doubt_beginnings() {
    for (std::size_t i = 1; i < a_.events.size(); ++i) {
      NoteHearing& n = note(event(i).notes.back());
      const auto& before = note(event(i - 1).notes.back()).heard;
      const Fine& f = a_.events[i];
      if (f.left_out || f.jumped_to || !n.heard || !before || !before->offset) continue;
      if (event(i).repeated || n.heard->attack.value_or(0) > struck_attack) continue;
      const double from = std::max(before->offset->value(), a_.events[i - 1].onset_s);
      const double to = f.onset_s - same_place_s;
      if (to - from < may_begin_before_s || a_.seen.silent_share(from, to) > mostly) continue;
      if (!judge_.may_sound(n.midi, from, to, may_begin_before_s)) continue;
      n.heard->confidence = std::min(n.heard->confidence, unsure_of_place);
    }
  }

  // Others play in the room: much sounds beside what is written, or more notes than a ringing
  // string explains are heard beneath another tone. Whose an unwritten tone is cannot be told then.
  bool is_in_company() const {
    constexpr std::size_t fewest = 3, one_in = 12;  // ours, from simulated ensembles and rooms
    // Open strings that ring along lie beside what is written as others do, but softly: players
    // alone have 0.057 of others with 0.08 beside, or in rooms 0.014 with 0.24 (140 simulated
    // takes, both recordings); ensembles and a piano 0.033 and 0.15 at least (39 takes).
    constexpr double others_share = 0.025, some_beside = 0.12;
    if (a_.seen.beside() > much_beside) return true;
    if (!a_.seen.uses().company) return false;
    return (led_ >= fewest && led_ * one_in > a_.events.size()) ||
           (a_.seen.beside() > some_beside && share_of_others(a_, h_) > others_share);
  }

  // Of another's tone at a distance nothing speaks for its being the student's; a slip to the next
  // finger lies a tone away at most. Others may cover a note, and begin where it might: it was
  // neither surely left out, nor surely where it was placed.
  void doubt_in_company() {
    for (NoteHearing& n : h_.notes) {
      const bool far = n.state == NoteState::wrong && std::abs(n.heard->midi - n.midi) > 2;
      if (far || n.state == NoteState::missed) n.state = NoteState::uncertain;
      if (n.heard) n.heard->confidence = std::min(n.heard->confidence, unsure_of_place);
    }
  }

  // Where its own partials end tells more; but not where others share them, it may be played again
  // before the next is due, the bow goes on into the next, or nothing follows by which to judge.
  void refine_end(std::size_t i, std::size_t last, int midi, HeardNote& heard) const {
    const Fine& f = a_.events[i];
    const bool alone = last == i && event(i).pitches.size() == 1 && event(i).held.empty();
    if (!alone || f.another_tone || event(i).plucked) return;
    if (i + 1 == a_.events.size()) return end_before_due(i, midi, heard);
    const Fine& next = a_.events[i + 1];
    if (next.extra_before || next.jumped_to || event(i + 1).slurred) return;
    const auto end = end_of_tone(i, midi, f.next_s);
    if (end) end_at(*end, heard);
  }

  static void end_at(const ToneEnd& end, HeardNote& heard) {
    heard.offset = Seconds(end.at_s);
    heard.offset_uncertainty = Seconds(end.doubt_s);
  }

  double end_doubt_s(std::size_t last) const {
    if (last + 1 >= a_.events.size()) return offset_doubt_s(false, 0);
    const Fine& next = a_.events[last + 1];
    return offset_doubt_s(event(last + 1).slurred && !next.jumped_to,
                          onset_doubt_s(event(last + 1), next));
  }

  // The last note may end before it is due; where it ends later, nothing follows by which to judge.
  void end_before_due(std::size_t i, int midi, HeardNote& heard) const {
    const double due = due_s(i, written_s(i, note(event(i).notes.front())));
    const auto end = end_of_tone(i, midi, due);
    const double otherwise = std::min(due - before_due_s, heard.offset->value());
    if (end && end->at_s < otherwise) end_at(*end, heard);
  }

  void add_length(std::size_t i, std::size_t last, const NoteHearing& n, double offset, double next,
                  HeardNote& heard) const {
    const double real = offset - a_.events[i].onset_s;
    const double written = written_s(i, n);
    if (!sounds_past(a_.seen, n.midi, a_.events[i].onset_s, offset, next)) {
      const double at_least = std::max(0.02, written);
      heard.sounding_ratio = real / at_least;
      heard.sounding_ratio_uncertainty =
          std::hypot(heard.onset_uncertainty->value(), heard.offset_uncertainty->value()) /
          at_least;
    }
    const bool goes_on = last + 1 < a_.events.size() && !a_.events[last + 1].jumped_to;
    if (goes_on) heard.gap = Seconds(next - offset);
    const double until = last + 1 < a_.events.size() ? next : due_s(i, written);
    if (const auto fall = fall_before_next(a_.seen, n.midi, a_.events[i].onset_s, until)) {
      heard.fall = Decibels(*fall);
    }
  }

  // What a note lasts as written, at the tempo around it.
  double written_s(std::size_t i, const NoteHearing& n) const {
    const double per_quarter = beats_[i].seconds_per_written * event(i).seconds / quarters_of(i);
    return n.duration.to_double() * per_quarter;
  }

  // Where the last note ought to end: what is written says so, as nothing follows it.
  double due_s(std::size_t i, double written) const {
    const double end = static_cast<double>(a_.seen.frames()) * a_.seen.step_s();
    return std::min(end, a_.events[i].onset_s + written);
  }

  double quarters_of(std::size_t i) const {
    const Event& e = event(i);
    const std::size_t k = static_cast<std::size_t>(a_.events[i].event);
    if (!e.last) return a_.score.events[k + 1].onset_quarters - e.onset_quarters;
    double longest = 0.01;
    for (int place : e.notes) {
      longest = std::max(longest, note(place).duration.to_double());
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

  void judge_left_out() {
    for (std::size_t i = 0; i < a_.events.size(); ++i) {
      if (a_.events[i].left_out) {
        const bool sure = (a_.events[i].left_out_margin < surely_left_out || is_absent(i)) &&
                          nothing_speaks_for(i);
        for (int place : event(i).notes) {
          if (!note(place).heard)
            note(place).state = sure ? NoteState::missed : NoteState::uncertain;
        }
      } else if (!in_company_ && has_empty_place(i) && is_absent(i) && nothing_speaks_for(i)) {
        NoteHearing& n = note(event(i).notes.front());
        n.state = NoteState::missed;
        n.heard.reset();
      }
    }
  }

  bool nothing_speaks_for(std::size_t i) const {
    return judge_.neighbours_found(i) && !repeats_a_neighbour(i) && !may_sound(i);
  }

  // Not heard at an earlier attempt either. A note before it that lies half way to another tone may
  // hold one that was played for this.
  bool has_empty_place(std::size_t i) const {
    const Fine& f = a_.events[i];
    if (i == 0 || is_half_way(i - 1)) return false;
    const NoteHearing& n = note(event(i).notes.front());
    return n.state == NoteState::uncertain && n.attempts.empty() && !f.jumped_to &&
           f.sounds_until_s - f.onset_s < soundless_s &&
           f.next_s - f.onset_s < too_small * event(i).seconds * beats_[i].seconds_per_written;
  }

  bool is_half_way(std::size_t i) const {
    const NoteHearing& n = note(event(i).notes.back());
    return is_half_way_to(n, n.midi - 1) || is_half_way_to(n, n.midi + 1);
  }

  // Somewhere between its neighbours' beginnings, and more than ringing on.
  bool may_sound(std::size_t i) const {
    const Event& e = event(i);
    const double from = i > 0 ? a_.events[i - 1].onset_s : a_.events[i].onset_s;
    const double to = i + 1 < a_.events.size() ? a_.events[i + 1].onset_s : a_.events[i].next_s;
    const double length = e.seconds * beats_[i].seconds_per_written;
    return std::any_of(e.pitches.begin(), e.pitches.end(), [&](int midi) {
      return judge_.may_sound(midi, from, to, length) && judge_.begins_between(midi, from, to);
    });
  }

  // From the beginning of the note before to that of the note after its place.
  bool is_absent(std::size_t i) const {
    if (i == 0 || i + 1 >= a_.events.size() || a_.events[i + 1].jumped_to) return false;
    return judge_.is_absent(i, a_.events[i - 1].onset_s, a_.events[i + 1].onset_s,
                            event(i).seconds * beats_[i].seconds_per_written);
  }

  // Which of two notes of the same pitch was left out, or whether both stand in one, can't be told.
  bool repeats_a_neighbour(std::size_t i) const {
    const auto same = [&](std::size_t j) { return event(j).pitches == event(i).pitches; };
    return (i > 0 && same(i - 1)) || (i + 1 < a_.events.size() && same(i + 1));
  }

  // A note left out where a foreign one sounds, or placed at the end of one without a stroke of its
  // own: the one was played for the other.
  void join_extras_to_their_notes() {
    std::erase_if(h_.extra, [&](const ExtraNote& extra) {
      for (std::size_t i = 0; i < a_.events.size(); ++i) {
        const Event& e = event(i);
        if (e.pitches.size() != 1 || !e.held.empty()) continue;
        NoteHearing& n = note(e.notes.front());
        const bool empty = !n.heard && (n.state == NoteState::missed || a_.events[i].left_out);
        if (!empty && is_its_beginning(extra, i)) {
          begin_with(extra, n);
          return true;
        }
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

  // Where notes beside a tone were not found, it may well be one of them.
  void drop_extras_where_the_place_was_lost() {
    std::erase_if(h_.extra, [&](const ExtraNote& extra) {
      const auto after =
          std::upper_bound(a_.events.begin(), a_.events.end(), extra.onset.value(),
                           [](double at_s, const Fine& f) { return at_s < f.onset_s; });
      const auto i = after - a_.events.begin();
      const auto to = std::min(std::ssize(a_.events), i + lost_near);
      std::ptrdiff_t lost = 0;
      for (auto j = std::max<std::ptrdiff_t>(0, i - lost_near); j < to && lost < lost_in_row; ++j) {
        const int place = event(static_cast<std::size_t>(j)).notes.front();
        lost = note(place).state == NoteState::heard ? 0 : lost + 1;
      }
      return lost >= lost_in_row;
    });
  }

  // A tone a semitone from the note that it follows has taken part in the note's pitch.
  void measure_before_extras() {
    for (const ExtraNote& extra : h_.extra) {
      for (std::size_t i = 0; i < a_.events.size(); ++i) {
        const Fine& f = a_.events[i];
        NoteHearing& n = note(event(i).notes.back());
        const bool is_here =
            !f.left_out && n.state == NoteState::heard && n.heard->onset.value() == f.onset_s;
        const bool holds_it = f.onset_s < extra.onset.value() && extra.onset.value() < f.next_s;
        if (!is_here || !holds_it || std::abs(extra.midi - n.midi) != 1) continue;
        const Tone tone = tone_until(i, n.midi, extra.onset.value());
        be_at_pitch_of(tone, *n.heard);
      }
    }
  }

  // The note was placed in or after a tone without a stroke of its own: nothing begins there. The
  // tone is it, be it another, or it itself, half way to the next semitone.
  bool is_its_beginning(const ExtraNote& extra, std::size_t i) {
    const NoteHearing& n = note(event(i).notes.front());
    if (!n.heard || event(i).plucked || a_.events[i].jumped_to || i == 0) return false;
    const double after = (n.heard->onset - extra.offset).value();
    const bool in_its_place = after > -same_place_s && after < longest_lag_s &&
                              extra.onset.value() > a_.events[i - 1].onset_s;
    const bool stroke = n.heard->attack.value_or(0) > no_stroke_attack ||
                        n.heard->dip.value_or(Decibels(0)).value() > no_stroke_dip_db;
    if (!in_its_place || stroke || extra.midi == n.midi) return false;
    if (n.state != NoteState::heard) return n.heard->midi == extra.midi || n.heard->midi == n.midi;
    return is_half_way_to(n, extra.midi);
  }

  // How sure that place is was not measured, nor what it makes of time and length, nor how its tone
  // falls: that was of the old one.
  void begin_with(const ExtraNote& extra, NoteHearing& n) const {
    HeardNote& heard = *n.heard;
    heard.onset = extra.onset;
    heard.onset_uncertainty.reset();
    heard.deviation_ms.reset();
    heard.deviation_uncertainty_ms.reset();
    heard.sounding_ratio.reset();
    heard.sounding_ratio_uncertainty.reset();
    heard.fall.reset();
    measure_beginning(heard);
    if (n.state == NoteState::heard) return;
    n.state = NoteState::wrong;
    be_another(*n.heard, extra.midi);
  }

  bool stands_for(std::size_t i, const ExtraNote& extra) const {
    const double from = i > 0 ? a_.events[i - 1].onset_s : a_.events[i].onset_s - 0.2;
    const double to = i + 1 < a_.events.size() ? a_.events[i + 1].onset_s : a_.events[i].next_s;
    // A tone that was followed to where this note was looked for goes on in its place.
    const bool goes_on = std::abs(extra.offset.value() - a_.events[i].onset_s) < same_place_s;
    const double length = (goes_on ? to : extra.offset.value()) - extra.onset.value();
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
        if (in_company_ && !stopped_before(i)) continue;
        h_.restarts.push_back(
            {Seconds(a_.events[i].onset_s), last_note(i - 1), first_note(i), event(i).item});
      } else {
        const bool far = to - from > furthest_left_out &&
                         a_.score.events[static_cast<std::size_t>(from)].after_repeat != to;
        const bool sure = !far && !in_company_ && followed_around(i) &&
                          (!time_was_there(i) || was_silent_before(i));
        jumped_over(from, to, sure ? NoteState::missed : NoteState::uncertain);
      }
    }
  }

  // Who plays with others does not go back while they play on.
  bool stopped_before(std::size_t i) {
    const double at = a_.events[i].onset_s;
    return followed_around(i) && a_.seen.silent_share(at - stopped_s, at) > mostly;
  }

  // Whether the jump before event `i` took as long as what it jumped over: then that may well have
  // been played and not been told from the noise. Half its time is enough for the doubt, and it may
  // have been lost somewhere in the notes before or after.
  bool time_was_there(std::size_t i) const {
    const double jumped = jumped_s(i);
    const auto lost = [&](std::size_t from, std::size_t to, double written) {
      return a_.events[to].onset_s - a_.events[from].onset_s - written * pace_ >
             0.5 * jumped * pace_;
    };
    double before = 0;
    for (std::size_t j = i; j-- > 0;) {
      before += event(j).seconds;
      double after = 0;
      for (std::size_t k = i;; ++k) {
        if (lost(j, k, before + after)) return true;
        if (k + 1 >= a_.events.size() || a_.events[k + 1].jumped_to || k >= i + looked_after) break;
        after += event(k).seconds;
      }
      if (a_.events[j].jumped_to || j + looked_before < i) break;
    }
    return false;
  }

  // Whether it was silent for most of the time that what was jumped over takes.
  bool was_silent_before(std::size_t i) const {
    const double from = a_.events[i - 1].sounds_until_s, to = a_.events[i].onset_s;
    const double missing = jumped_s(i) * pace_;
    return to - from > mostly * missing && a_.seen.silent_share(from, to) > surely_silent;
  }

  // Written time of what lies between the events before and after the jump before event `i`.
  double jumped_s(std::size_t i) const {
    double seconds = 0;
    for (int k = a_.events[i - 1].event + 1; k < a_.events[i].event; ++k) {
      seconds += a_.score.events[static_cast<std::size_t>(k)].seconds;
    }
    return seconds;
  }

  // Whether the notes around the jump before event `i` were followed, all but a few.
  bool followed_around(std::size_t i) {
    const std::size_t from = i > looked_near ? i - looked_near : 0;
    const std::size_t to = std::min(a_.events.size(), i + looked_near);
    std::size_t heard = 0;
    for (std::size_t j = from; j < to; ++j) {
      heard += note(event(j).notes.front()).state == NoteState::heard;
    }
    return heard * 5 >= (to - from) * 4;
  }

  // Real over written time, the middle of all notes.
  static double middle_pace(const std::vector<LocalBeat>& beats) {
    std::vector<double> paces;
    for (const LocalBeat& b : beats) paces.push_back(b.seconds_per_written);
    if (paces.empty()) return 1;
    return middle_of(std::move(paces));
  }

  void jumped_over(int from, int to, NoteState state) {
    for (int k = from + 1; k < to; ++k) {
      for (int place : a_.score.events[static_cast<std::size_t>(k)].notes) {
        if (!note(place).heard) note(place).state = state;
      }
    }
  }

  // Of one item; what was played of several, their segments tell.
  void add_range() {
    std::optional<int> item;
    for (const NoteHearing& n : h_.notes) {
      if (n.state == NoteState::not_reached) continue;
      if (item.value_or(n.item) != n.item) {
        h_.range_from.reset(), h_.range_to.reset();
        return;
      }
      item = n.item;
      h_.range_from = std::min(h_.range_from.value_or(n.index), n.index);
      h_.range_to = std::max(h_.range_to.value_or(n.index), n.index);
    }
  }

  const Aligned& a_;
  Hearing& h_;
  std::vector<LocalBeat> beats_;
  double pace_;
  NoteJudge judge_;
  std::size_t led_ = 0;  ///< notes heard beneath another tone
  bool in_company_ = false;
};

}  // namespace

void assemble(const Aligned& aligned, Hearing& hearing) { Assembly(aligned, hearing).run(); }

}  // namespace endpin::listen
