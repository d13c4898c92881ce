#include "measure/extras.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "measure/stroke.h"
#include "measure/tone.h"
#include "quantiles.h"

namespace endpin::listen {
namespace {

// Noise that a telephone turns up has a pitch for a tenth of a second now and then.
constexpr double stable_s = 0.12, inside_stable_s = 0.12;
// Where a tone is known to be new, it need last only for as long as a window of the analysis blends
// it with what sounds beside it: 80 ms, or the 160 ms that a score with low notes is seen through
// below 350 Hz. Of 880 such stretches of simulated players (voices below 100) that no new tone
// explains, those that are as long as this are none.
constexpr double new_stable_s = 0.07, low_new_stable_s = 0.12;
constexpr int low_below_midi = 65;
constexpr double least_lead = 0.15;  // of salience, over the written pitch
constexpr double least_attack = 0.5, least_attack_inside = 0;
constexpr double least_salience = 0.25;
constexpr double below_note_db = 9;  // what is softer may be a resonance or somebody else
// The tone before once more: it must begin anew and be no softer, or it rang on.
constexpr double least_attack_again = 1.5, below_note_again_db = 5, as_loud_db = 2;
// After its beginning a note must have stood so long to be believed before another tone.
constexpr double own_from_s = 0.03, own_stable_s = 0.06;
// A new tone's partials grow (PitchEvidence::rise) and explain each frame of it better, in nats: of
// 355 that simulated players (voices below 100) played, 283 have both; of what rings or resonates
// nothing that lasts, after a note that stood alone.
constexpr float least_rise = 0.5F, least_gain = 0.9F;
// What rings or resonates was louder before it came to the fore: of 67 such stretches in right
// playing none of a string had grown by 8 dB and began with a stroke; of 169 tones that were put in
// 168 had grown by 10 dB. Where both speak for a tone, the note's ringing on may explain more of
// it.
constexpr double grown_db = 8;
constexpr float least_gain_struck = 0.7F;
// Under one bow a tone begins without a stroke.
constexpr float rise_in_bow = 0.7F, gain_in_bow = 1.5F;
constexpr std::size_t rise_within = 3;
constexpr double below_note_new_db = 15;
// Two tones a semitone apart stand each in its own place; a note that is off lies between.
constexpr double in_its_place_cents = 30;
constexpr double another_place_cents = 70;  // with a stroke: as near as semitones are played (ours)
constexpr std::size_t blended_frames = 4, interrupted_frames = 2;
// Playing that goes on for so long without a written note is no single note that slipped in.
constexpr double passage_s = 0.5, passage_tone_s = 0.1;
constexpr std::ptrdiff_t fewest_in_passage = 3;
constexpr std::size_t followed_after = 6;
// A second stroke is heard by its attack and by the dip before it, decibels and four times the log
// likelihood as in slurs. Chosen on simulated takes (voices below 100): with these 14 of 20 are
// heard and one of 3800 notes is taken for two.
constexpr double struck_again_attack = 0.9, struck_again_dip_db = 8, struck_again_score = 14;
constexpr double attack_weight = 4;
// A vibrato makes the level swing in a room: of who plays with it a second stroke must be clear.
constexpr double vibrato_from_s = 0.6;
constexpr double least_peak = -0.5, peak_within_s = 0.04;
constexpr double elsewhere_s = 0.12, stands_out_db = 4;
constexpr double clear_attack = 2.2, clear_dip_db = 9;
constexpr double no_attack = -0.5, no_dip_db = 2;    // ours: noise between strokes has as much
constexpr double strokes_apart_s = 0.2;              // from each other and from the end: ours
constexpr double for_two = 1.4, least_of_due = 0.5;  // ours
constexpr double sure_of_note = 0.93;  // where it is in doubt, it may begin there itself
constexpr double again_softer_db = 8;
// The bow that turns takes the note's own partials down and lets them grow again, whatever else is
// to be heard: 18 simulated second strokes (voices below 100) have 6 dB and 0.10 at least; talk,
// a foot and clicks within a note 4 dB or 0.08 at most but for one note.
constexpr double own_dip_db = 5;
constexpr float own_rise = 0.09F;
// A held tone keeps its place, or swings evenly about it: of tones that were put in (voices below
// 100) the middle four fifths of the frames lie within 30 cents, of spoken vowels 18 in 20 do not.
constexpr double glides_cents = 40;
constexpr double half_way_cents = 35;  // of 100
constexpr double shortest_in_trill_s = 0.02;
constexpr int widest_trill = 2, trill_turns = 3;  // semitones; ours
constexpr double away_from_ends_s = 0.11;

// Or the same.
bool are_octaves(int midi, int other) { return (midi - other) % 12 == 0; }

class Extras {
 public:
  Extras(const Aligned& aligned, std::span<const LocalBeat> beats, const Hearing& hearing)
      : a_(aligned), beats_(beats), h_(hearing), plays_with_vibrato_(has_vibrato(hearing)) {}

  std::vector<ExtraNote> find() {
    for (std::size_t i = 0; i < a_.events.size(); ++i) {
      if (a_.events[i].left_out || event(i).plucked) continue;
      if (surely_heard(i) && !event(i).ornamented) struck_again(i);
      if (i + 1 < a_.events.size() && !passage(i)) in_between(i);
    }
    return std::move(found_);
  }

 private:
  struct Run {
    std::size_t begin = 0, end = 0;
    int midi = -1;
  };

  const Event& event(std::size_t i) const {
    return a_.score.events[static_cast<std::size_t>(a_.events[i].event)];
  }
  const NoteHearing& note(std::size_t i) const {
    return h_.notes[static_cast<std::size_t>(event(i).notes.back())];
  }
  bool heard(std::size_t i) const { return note(i).state == NoteState::heard; }
  bool surely_heard(std::size_t i) const {
    return heard(i) && note(i).heard && note(i).heard->confidence > sure_of_note;
  }

  double level(double from_s, double to_s) const {
    const auto& onset = a_.seen.sound().onset;
    const double step = a_.seen.sound().step_s;
    double best = -90;
    for (std::size_t f = static_cast<std::size_t>(std::max(0.0, from_s / step));
         f < onset.size() && static_cast<double>(f) * step <= to_s; ++f) {
      best = std::max(best, static_cast<double>(onset[f].level_db));
    }
    return best;
  }

  // A pitch that an event sounds, or one an octave or a twelfth away from it.
  bool belongs(std::size_t i, int midi) const {
    const Event& e = event(i);
    const auto related = [&](int p) {
      const int away = std::abs(midi - p);
      return away == 0 || away == 12 || away == 19 || away == 24 || away == 7 || away == 5;
    };
    return std::any_of(e.held.begin(), e.held.end(), related) ||
           std::any_of(e.pitches.begin(), e.pitches.end(), related);
  }

  // Another tone between this note's beginning and the next one's: the longest stretch of one
  // pitch that neither the note nor the next has to do with.
  void in_between(std::size_t i) {
    const Fine& f = a_.events[i];
    if (a_.events[i + 1].jumped_to || event(i).ornamented || f.next_s - f.onset_s < stable_s)
      return;
    const Run run = longest_foreign(i, f.onset_s + away_from_ends_s, f.next_s);
    if (run.end - run.begin < frames_of(new_stable_s)) return;
    if ((is_the_note_off(i, run) && !is_struck_apart(i, run)) || glides(run)) return;
    if (is_of_a_trill(i, run)) return;
    if (!is_new_tone(i, run) && !is_likely_another(i, run)) return;
    found_.push_back({Seconds(seconds(run.begin)), Seconds(seconds(run.end)), run.midi,
                      note(i).index, event(i).item});
  }

  // From the note to a neighbour, back and there again: an ornament, if one that is not written.
  bool is_of_a_trill(std::size_t i, const Run& run) const {
    const int own = note(i).midi;
    if (std::abs(run.midi - own) > widest_trill) return false;
    const std::size_t to = frames_of(a_.events[i].next_s);
    int turns = 0, now = -1;
    for (std::size_t f = frames_of(a_.events[i].onset_s); f < to;) {
      const Run tone = stretch_at(f, to);
      f = tone.end;
      const bool stands = tone.end - tone.begin >= frames_of(shortest_in_trill_s);
      if (!stands || tone.midi == now || (tone.midi != own && tone.midi != run.midi)) continue;
      turns += now >= 0, now = tone.midi;
    }
    return turns >= trill_turns;
  }

  bool is_the_note_off(std::size_t i, const Run& run) const {
    return is_half_way_to(h_.notes[static_cast<std::size_t>(event(i).notes.front())], run.midi);
  }

  // A voice that speaks rather than a tone that is held.
  bool glides(const Run& run) const {
    const std::size_t blended = blended_at_ends(run);
    const std::vector<double> track = deviations(run.begin + blended, run.end - blended, run.midi);
    if (track.empty() || quantile(track, 0.9) - quantile(track, 0.1) < glides_cents) return false;
    return !find_vibrato(track, a_.seen.step_s());
  }

  // Where playing does not tell that the tone begins anew, its level, its attack and what may
  // resonate decide.
  bool is_likely_another(std::size_t i, const Run& run) const {
    const Fine& f = a_.events[i];
    if (run.end - run.begin < frames_of(stable_s)) return false;
    if (!heard(i) && std::abs(run.midi - note(i).midi) <= 1) return false;  // the note itself, off
    if (f.another_tone && !heard(i) && !was_itself_before(i, run)) return false;
    const double begin = seconds(run.begin), end = seconds(run.end);
    const bool inside = begin < f.sounds_until_s;
    if (inside ? !takes_over(i, run) : resonates(i, run.midi)) return false;
    const bool again = is_of_before(i, run.midi);
    const double softer_db = again ? below_note_again_db : below_note_db;
    const double own_db = level(f.onset_s, begin), its_db = level(begin, end);
    if (its_db < own_db - softer_db) return false;
    // What rang on under a note does not come back as loud as the note was.
    const bool rang_on = again && !(its_db > own_db - as_loud_db && was_itself_before(i, run));
    const double attack = rang_on            ? least_attack_again
                          : inside && !again ? least_attack_inside
                                             : least_attack;
    return begins_at(begin) >= attack;
  }

  // After the note stood alone the tone's own partials grow, and from then on it explains what
  // sounds far better than the note, or its dying away, does. What resonates or rings on does not
  // grow; what another plays does, so that the student must be alone.
  bool is_new_tone(std::size_t i, const Run& run) const {
    if (!was_itself_before(i, run)) return false;
    const float rise = rise_near(run.begin, run.midi), gain = gain_of(i, run);
    const bool stroke = begins_at(seconds(run.begin)) >= struck_again_attack;
    const bool struck = stroke && has_grown(run);
    if (rise <= least_rise && !struck) return false;
    if (gain <= (struck ? least_gain_struck : least_gain)) return false;
    const bool in_bow = event(i + 1).slurred && rise > rise_in_bow && gain > gain_in_bow;
    if (run.end - run.begin < frames_of(stable_s) &&
        !(may_be_short(i, run) && (stroke || in_bow))) {
      return false;
    }
    if (std::abs(run.midi - note(i).midi) <= 1 && !lie_apart(i, run)) return false;
    return level(seconds(run.begin), seconds(run.end)) >=
           level(a_.events[i].onset_s, seconds(run.begin)) - below_note_new_db;
  }

  // Nats a frame by which it explains better what sounds than the note or its dying away does.
  float gain_of(std::size_t i, const Run& run) const {
    const std::size_t blended = blended_at_ends(run);
    float gain = 0;
    for (std::size_t f = run.begin + blended; f + blended < run.end; ++f) {
      gain += a_.seen.stands(f, run.midi) - std::max(a_.seen.playing(event(i), f), a_.seen.gap(f));
    }
    return gain / static_cast<float>(run.end - run.begin - 2 * blended);
  }

  bool has_grown(const Run& run) const {
    const double begin = seconds(run.begin);
    const float before = loudest(run.midi, begin - 0.12, begin - 0.05);
    const auto grown = static_cast<float>(std::pow(10, grown_db / 60));  // sixth roots of power
    return loudest(run.midi, begin, seconds(run.end)) > grown * before;
  }

  // Shorter than noise may have a pitch: only with a beginning of its own, and where it is not the
  // next note's, of which an octave may stand out first.
  bool may_be_short(std::size_t i, const Run& run) const {
    const bool low = a_.score.has_low_notes() && run.midi < low_below_midi;
    return run.end - run.begin >= frames_of(low ? low_new_stable_s : new_stable_s) &&
           !same_name(i + 1, run.midi);
  }

  // The note and what follows it, both in tune: none of the two is the other one, off.
  bool lie_apart(std::size_t i, const Run& run) const {
    const auto other = other_cents(run);
    const bool both = stood_in_its_place(i, run) && other && std::abs(*other) < in_its_place_cents;
    return both || is_struck_apart(i, run);
  }

  bool stood_in_its_place(std::size_t i, const Run& run) const {
    const auto own = own_cents(i, run);
    return own && std::abs(*own) < in_its_place_cents;
  }

  // The note stood in its place, and what was struck after it lies too far away to be it: the
  // middle of both may lie half way between.
  bool is_struck_apart(std::size_t i, const Run& run) const {
    const auto other = other_cents(run);
    if (!stood_in_its_place(i, run) || !other) return false;
    const double moved = 100 * (run.midi - note(i).midi) + *other - *own_cents(i, run);
    return std::abs(moved) > another_place_cents &&
           begins_at(seconds(run.begin)) >= struck_again_attack;
  }

  std::optional<double> other_cents(const Run& run) const {
    const std::size_t blended = blended_at_ends(run);
    return middle_cents(run.begin + blended, run.end - blended, run.midi);
  }
  std::optional<double> own_cents(std::size_t i, const Run& run) const {
    return middle_cents(frames_of(a_.events[i].onset_s + own_from_s),
                        run.begin - blended_at_ends(run), note(i).midi);
  }

  // Frames in which it is not alone in the window.
  static std::size_t blended_at_ends(const Run& run) {
    return std::min(blended_frames, (run.end - run.begin) / 4);
  }

  // From `midi`, of the frames in which it can be told.
  std::optional<double> middle_cents(std::size_t from, std::size_t to, int midi) const {
    const std::vector<double> track = deviations(from, to, midi);
    return track.empty() ? std::nullopt : std::optional(quantile(track, 0.5));
  }

  std::vector<double> deviations(std::size_t from, std::size_t to, int midi) const {
    std::vector<double> track;
    for (std::size_t f = from; f < to; ++f) {
      const auto d = frame_deviation(a_.seen.sound().partials_at(f), midi, a_.shift_cents, {});
      if (d) track.push_back(*d);
    }
    return track;
  }

  // After the note that ends here something else was played, tone upon tone: all of it is extra.
  bool passage(std::size_t i) {
    const Fine& f = a_.events[i];
    const double until_s = a_.events[i + 1].onset_s;
    // What was put in may begin like what comes after it, and be followed for a note.
    const bool begins_alike = i > 0 && a_.events[i + 1].event == a_.events[i].event;
    if (a_.events[i + 1].jumped_to) return false;
    if (a_.events[i + 1].event != a_.events[i].event + 1 && !begins_alike) return false;
    const double from_s = begins_alike ? f.onset_s : f.sounds_until_s;
    if (until_s - from_s < passage_s || !goes_on(i)) return false;
    std::vector<Run> runs;
    const double loud = level(f.onset_s, f.sounds_until_s) - below_note_db;
    for (Run run{frames_of(from_s), 0, -1}; run.begin < frames_of(until_s);) {
      run = stretch_at(run.begin, std::min(a_.seen.frames(), frames_of(until_s)));
      const double begin = seconds(run.begin), end = seconds(run.end);
      if (run.midi >= 0 && end - begin > passage_tone_s && level(begin, end) > loud) {
        runs.push_back(run);
      }
      run.begin = run.end;
    }
    // The note itself may go on, the next be tried: neither makes a passage.
    const auto foreign = std::count_if(runs.begin(), runs.end(), [&](const Run& r) {
      return !has(i, r.midi) && !has(i + 1, r.midi) && !is_the_note_off(i, r);
    });
    if (foreign < fewest_in_passage) return false;
    const int after = note(begins_alike ? i - 1 : i).index;
    for (const Run& r : runs) {
      found_.push_back(
          {Seconds(seconds(r.begin)), Seconds(seconds(r.end)), r.midi, after, event(i).item});
    }
    return true;
  }

  // After it the score is followed as before: else its own notes may be what sounds here.
  bool goes_on(std::size_t i) const {
    const std::size_t to = std::min(a_.events.size(), i + 1 + followed_after);
    std::size_t followed = 0;
    for (std::size_t j = i + 1; j < to; ++j) {
      if (a_.events[j].jumped_to && j > i + 1) return false;
      followed += heard(j);
    }
    return followed * 3 >= (to - i - 1) * 2;
  }

  // The note itself, what it holds, or an octave of these, and the next, which may come early: no
  // other tone.
  bool written_near(std::size_t i, int midi) const {
    const auto same = [&](int p) { return are_octaves(midi, p); };
    const Event& e = event(i);
    if (std::any_of(e.pitches.begin(), e.pitches.end(), same)) return true;
    if (std::any_of(e.held.begin(), e.held.end(), same)) return true;
    return i + 1 < a_.events.size() && has(i + 1, midi);
  }
  bool is_of_before(std::size_t i, int midi) const { return i > 0 && same_name(i - 1, midi); }
  bool same_name(std::size_t i, int midi) const {
    const auto& p = event(i).pitches;
    return std::any_of(p.begin(), p.end(), [&](int q) { return are_octaves(midi, q); });
  }
  bool has(std::size_t i, int midi) const {
    const auto& p = event(i).pitches;
    return std::binary_search(p.begin(), p.end(), midi);
  }
  bool resonates(std::size_t i, int midi) const {
    return belongs(i, midi) || (i + 1 < a_.events.size() && belongs(i + 1, midi));
  }

  std::size_t frames_of(double s) const {
    return static_cast<std::size_t>(std::lround(s / a_.seen.step_s()));
  }
  double begins_at(double s) const { return a_.seen.sound().strongest_onset(s - 0.06, s + 0.06); }

  double seconds(std::size_t frame) const { return static_cast<double>(frame) * a_.seen.step_s(); }

  // The stretch of one clear pitch, or of none, that begins at a frame.
  Run stretch_at(std::size_t from, std::size_t to) const {
    Run run{from, from, clear_pitch(from)};
    while (run.end < to && clear_pitch(run.end) == run.midi) ++run.end;
    run.end = std::max(run.end, from + 1);
    return run;
  }
  int clear_pitch(std::size_t f) const {
    const bool clear =
        f < a_.seen.frames() && !a_.seen.quiet(f) && a_.seen.pitch().best(f) > least_salience;
    return clear ? a_.seen.pitch().best_midi(f) : -1;
  }

  // What rings along stands out for a moment within a tone that has stood four times as long:
  // neither ends nor begins one.
  Run resumed(Run run, std::size_t to) const {
    for (std::size_t f = run.end; run.midi >= 0 && f < to && clear_pitch(f) >= 0; ++f) {
      const std::size_t away = f - run.end, stood = run.end - run.begin;
      if (away > std::min(interrupted_frames, stood / 4)) break;
      if (clear_pitch(f) == run.midi) run.end = f + 1;
    }
    return run;
  }

  // Of one name: an octave of it may stand out for some frames.
  Run longest_foreign(std::size_t i, double from_s, double to_s) const {
    Run longest;
    const std::size_t to = std::min(a_.seen.frames(), frames_of(to_s));
    for (std::size_t f = frames_of(from_s); f < to;) {
      const Run run = foreign_at(i, f, to);
      f = run.end;
      if (run.midi >= 0 && run.end - run.begin > longest.end - longest.begin) longest = run;
    }
    if (longest.midi >= 0) longest.midi = likeliest_octave(i, longest);
    return longest;
  }

  Run foreign_at(std::size_t i, std::size_t from, std::size_t to) const {
    Run run = resumed(stretch_at(from, to), to);
    if (run.midi < 0) return run;
    if (written_near(i, run.midi)) return {run.begin, run.end, -1};
    while (run.end < to) {
      const Run next = resumed(stretch_at(run.end, to), to);
      const bool goes_on = next.midi >= 0 && are_octaves(next.midi, run.midi);
      if (!goes_on || written_near(i, next.midi)) break;
      run.end = next.end;
    }
    return run;
  }

  // Of those that stand out there, the one that explains most. O(frames).
  int likeliest_octave(std::size_t i, const Run& run) const {
    std::vector<int> weighed{run.midi};
    int best = run.midi;
    float most = gain_of(i, run);
    for (std::size_t f = run.begin; f < run.end; ++f) {
      const int midi = clear_pitch(f);
      const bool known = std::find(weighed.begin(), weighed.end(), midi) != weighed.end();
      if (midi < 0 || known || !are_octaves(midi, run.midi)) continue;
      weighed.push_back(midi);
      const float gain = gain_of(i, {run.begin, run.end, midi});
      if (gain > most) most = gain, best = midi;
    }
    return best;
  }

  // While the other tone sounds, the note that is written no longer does; before, it did.
  bool takes_over(std::size_t i, const Run& run) const {
    const Event& e = event(i);
    if (e.pitches.size() != 1 || !e.held.empty()) return false;
    if (run.end - run.begin < frames_of(inside_stable_s)) return false;
    double lead = 0, before = 0;
    for (std::size_t f = run.begin; f < run.end; ++f) {
      lead += a_.seen.pitch().best(f) - a_.seen.pitch().salience(f, e.pitches.front());
    }
    std::size_t counted = 0;
    for (std::size_t f = frames_of(a_.events[i].onset_s + 0.04); f < run.begin; ++f) {
      before += are_octaves(a_.seen.pitch().best_midi(f), e.pitches.front());
      ++counted;
    }
    return lead > least_lead * static_cast<double>(run.end - run.begin) && counted > 0 &&
           before > 0.6 * static_cast<double>(counted);
  }

  // A note that is doubtful because another tone took most of its time stood there alone until
  // then: for a while on end, and of what could be told little else.
  bool was_itself_before(std::size_t i, const Run& run) const {
    if (event(i).pitches.size() != 1) return false;
    const int own_midi = event(i).pitches.front();
    const std::size_t from = frames_of(a_.events[i].onset_s + own_from_s);
    const auto is_the_other = [&](int midi) { return midi >= 0 && are_octaves(midi, run.midi); };
    std::size_t until = run.begin;  // an octave of the other may stand out first
    while (until > from && is_the_other(clear_pitch(until - 1))) --until;
    std::size_t own = 0, others = 0, on_end = 0, longest = 0;
    for (std::size_t f = from; f < until; ++f) {
      const int midi = clear_pitch(f);
      on_end = midi == own_midi ? on_end + 1 : 0;
      longest = std::max(longest, on_end);
      own += midi == own_midi;
      others += midi >= 0 && !are_octaves(midi, own_midi) && !is_of_before(i, midi);
    }
    return longest >= frames_of(own_stable_s) && others * 4 <= own;
  }

  // Where something may begin within a note: peaks of the evidence, with the dip around them.
  struct Peak {
    double at_s = 0, attack = 0, dip_db = 0;
    double score() const { return dip_db + attack_weight * attack; }
  };

  // In the time of two there is room for a second, each as short as it is written. One that may
  // have begun late has no time of its own.
  double strokes_apart(std::size_t i) const {
    const double due_s = event(i).seconds * beats_[i].seconds_per_written;
    const bool lasts_for_two = a_.events[i].next_s - a_.events[i].onset_s > for_two * due_s;
    const bool for_another = lasts_for_two && begins_clearly(i);
    return for_another ? std::min(strokes_apart_s, least_of_due * due_s) : strokes_apart_s;
  }

  std::vector<Peak> peaks_within(std::size_t i) const {
    const double ends_s =
        std::min(a_.events[i].sounds_until_s, note(i).heard->offset.value_or(Seconds(1e9)).value());
    const double apart = strokes_apart(i);
    const double from = a_.events[i].onset_s + apart, to = ends_s - apart;
    const SoundFeatures& sound = a_.seen.sound();
    const double step = sound.step_s;
    std::vector<Peak> peaks;
    for (auto f = static_cast<std::size_t>(from / step); static_cast<double>(f) * step < to; ++f) {
      const double at = static_cast<double>(f) * step;
      if (f >= sound.onset_evidence.size()) break;
      const double attack = static_cast<double>(sound.onset_evidence[f]);
      if (attack < least_peak) continue;
      const double around = sound.strongest_onset(at - peak_within_s, at + peak_within_s);
      if (attack >= around) peaks.push_back({at, attack, level_dip(sound, at)});
    }
    return peaks;
  }

  // A tone that beats or trembles dips again and again; a stroke stands out of that.
  static bool stands_out(const Peak& peak, const std::vector<Peak>& peaks) {
    return std::none_of(peaks.begin(), peaks.end(), [&](const Peak& other) {
      return std::abs(other.at_s - peak.at_s) > elsewhere_s &&
             other.dip_db + stands_out_db > peak.dip_db;
    });
  }

  void struck_again(std::size_t i) {
    const auto peaks = peaks_within(i);
    const auto best =
        std::max_element(peaks.begin(), peaks.end(),
                         [](const Peak& a, const Peak& b) { return a.score() < b.score(); });
    if (best == peaks.end() || best->attack < struck_again_attack) return;
    if (best->dip_db < struck_again_dip_db || best->score() < struck_again_score) return;
    if (plays_with_vibrato_ && best->attack < clear_attack) return;
    const double at = best->at_s;
    if (may_be_itself(i) || may_be_next(i)) return;
    if (!stands_out(*best, peaks) || !sounds_again(i, at) || !own_stroke(i, at)) return;
    found_.push_back({Seconds(at), Seconds(a_.events[i].sounds_until_s), note(i).midi,
                      note(i).index, event(i).item});
  }

  float rise_near(std::size_t frame, int midi) const {
    return a_.seen.pitch().greatest_rise(frame - std::min(frame, rise_within), frame + rise_within,
                                         midi);
  }

  float loudest(int midi, double from_s, double to_s) const {
    float most = 0;
    for (std::size_t f = frames_of(std::max(0.0, from_s));
         f <= std::min(frames_of(to_s), a_.seen.frames() - 1); ++f) {
      most = std::max(most, a_.seen.pitch().loudness(f, midi));
    }
    return most;
  }

  // The note's own partials sink and grow again there.
  bool own_stroke(std::size_t i, double at_s) const {
    const int own = note(i).midi;
    const float before = loudest(own, std::max(a_.events[i].onset_s, at_s - 0.5), at_s - 0.08);
    const float around = std::min(before, loudest(own, at_s + 0.04, at_s + 0.2));
    float least = around;
    for (std::size_t f = frames_of(at_s - 0.08); f <= frames_of(at_s + 0.04); ++f) {
      least = std::min(least, a_.seen.pitch().loudness(f, own));
    }
    const auto sunk = static_cast<float>(std::pow(10, -own_dip_db / 60));  // sixth roots of power
    return least <= sunk * around && rise_near(frames_of(at_s), own) > own_rise;
  }

  bool begins_clearly(std::size_t i) const {
    const double at = a_.events[i].onset_s;
    return begins_at(at) >= clear_attack || level_dip(a_.seen.sound(), at) >= clear_dip_db;
  }

  // A note whose own beginning is not clear, after another of its pitch, may begin here itself; so
  // may one that was placed where nothing begins at all.
  bool may_be_itself(std::size_t i) const {
    if (event(i).repeated) return !begins_clearly(i);
    const double at = a_.events[i].onset_s;
    return !event(i).slurred && begins_at(at) < no_attack &&
           level_dip(a_.seen.sound(), at) < no_dip_db;
  }

  // And so may a following note of the same name.
  bool may_be_next(std::size_t i) const {
    if (i + 1 >= a_.events.size() || a_.events[i + 1].left_out) return false;
    return same_name(i + 1, note(i).midi) && !begins_clearly(i + 1);
  }

  // After it the note stands there as before: its pitch, and its level but for a little.
  bool sounds_again(std::size_t i, double at_s) const {
    const double to_s = std::min(a_.events[i].sounds_until_s, at_s + 0.3);
    if (level(at_s + 0.03, to_s) < level(a_.events[i].onset_s, at_s - 0.03) - again_softer_db) {
      return false;
    }
    std::size_t there = 0, all = 0;
    for (std::size_t f = frames_of(at_s + 0.05); f < frames_of(to_s); ++f) {
      ++all, there += a_.seen.pitch().best_midi(f) == note(i).midi;
    }
    return all > 0 && there * 2 > all;
  }

  // On half of the notes on which it can be told.
  static bool has_vibrato(const Hearing& hearing) {
    std::ptrdiff_t with = 0, without = 0;
    for (const NoteHearing& n : hearing.notes) {
      if (!n.heard || !n.heard->offset) continue;
      if ((*n.heard->offset - n.heard->onset).value() < vibrato_from_s) continue;
      ++(n.heard->vibrato ? with : without);
    }
    return with > without;
  }

  const Aligned& a_;
  std::span<const LocalBeat> beats_;
  const Hearing& h_;
  bool plays_with_vibrato_;
  std::vector<ExtraNote> found_;
};

}  // namespace

bool is_half_way_to(const NoteHearing& note, int midi) {
  if (!note.heard || !note.heard->intonation) return false;
  const double off = note.heard->intonation->value();
  return midi - note.midi == (off > 0 ? 1 : -1) && std::abs(off) > half_way_cents;
}

std::vector<ExtraNote> find_extras(const Aligned& aligned, std::span<const LocalBeat> beats,
                                   const Hearing& hearing) {
  return Extras(aligned, beats, hearing).find();
}

}  // namespace endpin::listen
