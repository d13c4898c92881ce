#include "measure/note_judge.h"

#include <algorithm>
#include <cmath>

#include "measure/fall.h"

namespace endpin::listen {
namespace {

// What makes a note's place taken by another pitch. From the contract: 80 ms, the written note
// rejected; the rest ours, on the side of silence.
constexpr double wrong_stable_s = 0.08, wrong_share = 0.7, wrong_evidence = -2.6,
                 wrong_own_partials = 0.25, wrong_lead = 0.15;
constexpr double heard_evidence = -1.7, heard_present = 0.4;
// Of right notes of simulated ensembles, as loud as the student together, 97 in 100 lie above −1.3;
// of other pitches in a tune that is played alone one in 100 lies above −1.6, one in 20 above −2.
constexpr double heard_support = -1.3, wrong_support = -1.8;
constexpr double off_but_there_cents = 62, off_but_there_tracked = 0.75;
constexpr double semitone_lead = 0.45, semitone_evidence = -3.5, wrong_own_beside_semitone = 0.55;
// A semitone's neighbour that is in tune, and by that much more, is what sounds.
constexpr double neighbour_in_tune_cents = 25, neighbour_fits_cents = 12;

// Of 3182 right notes of simulated players 10 dB was the most that odd partials were missed by; of
// 25 played an octave too high 23 had more (voices below 100). None of the right ones had the
// octave above lead by 0.04.
constexpr double octave_share = 0.9, octave_lead = 0.1, odd_missing_db = 10;
// A telephone passes little of the lowest notes' first partials (ours).
constexpr int low_below_midi = 43;
constexpr double low_odd_missing_db = 16;
// Of 34 played an octave too low 31 had less; right notes that have the octave below for a rival
// are nearer to the written pitch by far. A cello that plays along an octave below cannot be told
// from it: see `alone_beside`.
constexpr double odd_standing_db = 6, below_lead = 0.25, below_evidence = -3, below_support = -0.9;
// Noise in a note's place: no pitch stands there for long, the written one for little. Of those
// right notes none had less than -2.4 and another pitch for less than 0.4 of its time.
constexpr double noise_s = 0.2, noise_evidence = -2.4, noise_present = 0.3, noise_share = 0.25,
                 noise_support = -1.6, noise_softer_db = 2;
constexpr int farthest_slip = 2;  // semitones: a forgotten accidental, the next finger
// What is that much softer than the notes around it is no note: strings and rooms ring on (ours).
constexpr double resonance_db = 15, loud_share = 0.75;
constexpr double longest_doubt_s = 0.5;

constexpr double shortest_absent_s = 0.12;  // shorter notes the window hides between neighbours
// What begins grows by more (PitchEvidence::rise): of 115 notes played right, but told by little
// else, 107; of 157 that were written and not played 5.
constexpr float least_rise = 0.25F;
constexpr double near_s = 0.03;  // of where it was placed

// Of Observations::beside: simulated players alone, in rooms and noise, have 0.19 at most.
constexpr double alone_beside = 0.2;
// Of a note's comb: right notes of simulated ensembles have 0.38 but for one in 100, other pitches
// 0.2 in the middle.
constexpr float least_support = 0.25F;
constexpr double shortest_doubt_s = 0.06;
// Several in a row that are not as written (ours): at most so many; a silence in which a note would
// be heard; how many places away a row is rather another part of the tune.
constexpr std::size_t longest_row = 16;
// What is fainter than that beneath the playing proves no place.
constexpr double faint_db = 26;
constexpr double row_silence = 0.9, row_silence_s = 0.15;
constexpr std::ptrdiff_t furthest_moved = 3;
// A chord of more than two notes is broken: its lower notes come before, and are soon let go
// (common practice; how soon is ours).
constexpr double broken_before_s = 0.15, broken_note_s = 0.12;

double logistic(double x) { return 1 / (1 + std::exp(-x)); }

// The pitch a semitone away, in tune, explains the partials that were taken for the written note's.
bool neighbour_fits_better(const Tone& tone, double cents) {
  if (!tone.rival_intonation) return false;
  const double neighbour = std::abs(tone.rival_intonation->value());
  return neighbour < neighbour_in_tune_cents && neighbour + neighbour_fits_cents < std::abs(cents);
}

// Its partials stand there, if not in tune: between the pitch and the semitone beside it. Of
// another tone further away single partials fall near by chance.
bool off_but_there(const Tone& tone, int midi) {
  if (!tone.intonation || tone.tracked <= off_but_there_tracked) return false;
  if (tone.rival >= 0 && std::abs(tone.rival - midi) > 1 && tone.own_partials < 0.5) return false;
  const double cents = tone.intonation->value();
  return std::abs(cents) < off_but_there_cents && std::abs(cents) > 30 &&
         tone.uncertainty->value() < 8 && !neighbour_fits_better(tone, cents);
}

// A neighbour in tune that leads by far: what stands at the written pitch then rings on.
bool semitone_is_sure(const Tone& tone) {
  return tone.rival_intonation &&
         std::abs(tone.rival_intonation->value()) < neighbour_in_tune_cents &&
         tone.rival_lead > semitone_lead && tone.evidence < semitone_evidence;
}

// An octave above has the even partials of the written note, and with them half of its sum: that
// none of the odd ones stands there tells the two apart.
bool octave_above(const Tone& tone, int midi) {
  return tone.rival == midi + 12 && tone.rival_share >= octave_share &&
         tone.rival_lead > octave_lead &&
         tone.odd_missing_db > (midi < low_below_midi ? low_odd_missing_db : odd_missing_db);
}

// An octave below has all partials of the written note, and others between them.
bool octave_below(const Tone& tone, int midi) {
  return tone.rival == midi - 12 && tone.rival_share >= octave_share &&
         tone.rival_lead > below_lead && tone.evidence < below_evidence &&
         tone.support < below_support && tone.odd_missing_db < odd_standing_db;
}

}  // namespace

// The written pitch explains what sounds better than any other does.
bool NoteJudge::stands_out(const Tone& tone) {
  return tone.evidence > heard_evidence || tone.present >= heard_present;
}

bool NoteJudge::another_leads(const Tone& tone) {
  return tone.support > heard_support && !stands_out(tone);
}

NoteState NoteJudge::judge(std::size_t i, int midi, const Tone& tone) const {
  if (tone.settled_s <= 0) return NoteState::uncertain;
  if (stands_out(tone) && !octave_above(tone, midi)) return NoteState::heard;
  if (off_but_there(tone, midi)) return NoteState::heard;
  if (is_wrong(i, tone)) return NoteState::wrong;
  if (tone.support > heard_support || sounds_in_chord(i, midi)) return NoteState::heard;
  return NoteState::uncertain;
}

// However soon it was let go, or another voice leads.
bool NoteJudge::sounds_in_chord(std::size_t i, int midi) const {
  const Event& e = event(i);
  if (e.pitches.size() + e.held.size() < 2) return false;
  const Fine& f = a_.events[i];
  return may_sound(midi, f.onset_s - broken_before_s, f.next_s, broken_note_s);
}

// Another tone stands plainly in the note's place, whatever its neighbours are.
bool NoteJudge::is_another(std::size_t i, const Tone& tone) const {
  const Event& e = event(i);
  if (e.pitches.size() != 1 || !e.held.empty() || e.ornamented) return false;
  const double own = semitone_is_sure(tone) ? wrong_own_beside_semitone : wrong_own_partials;
  const bool above = octave_above(tone, e.pitches.front());
  const bool none_of_own = tone.own_partials < own || !a_.seen.uses().own_partials;
  const bool alone = a_.seen.beside() <= alone_beside;
  const bool rejected = above || (alone && octave_below(tone, e.pitches.front())) ||
                        (tone.evidence < wrong_evidence && tone.present < 0.15 && none_of_own);
  // An octave below has all harmonics of the written note: alone, nobody else can have played it.
  const bool may_be_another = !above && !alone && tone.support > wrong_support;
  const bool stable = tone.rival >= 0 && tone.rival_share >= wrong_share &&
                      tone.rival_s > wrong_stable_s - 0.001 &&
                      (above || tone.rival_lead > wrong_lead);
  return rejected && !may_be_another && stable && !rings_on(i, tone.rival);
}

bool NoteJudge::is_wrong(std::size_t i, const Tone& tone) const {
  if (!is_another(i, tone) || softer_db(i, loud_share) >= resonance_db) return false;
  if (neighbours_found(i)) return begins(i);
  return neighbours_found(i, Between::silence_or_others) && is_struck(i) &&
         !is_moved_row(i, tone.rival);
}

// Decibels by which the level of a note's place, that `share` of it does not exceed, lies below the
// middle one of its louder neighbour.
double NoteJudge::softer_db(std::size_t i, double share) const {
  const auto level = [&](std::size_t j) {
    const Fine& f = a_.events[j];
    return level_not_exceeded(a_.seen, f.onset_s, std::max(f.sounds_until_s, f.onset_s + 0.06),
                              0.5);
  };
  const double before = i > 0 ? level(i - 1) : -200;
  const double after = i + 1 < a_.events.size() ? level(i + 1) : -200;
  const Fine& f = a_.events[i];
  return std::max(before, after) - level_not_exceeded(a_.seen, f.onset_s, f.next_s, share);
}

// Noise, or what rings on, fills the note's place: it is played nowhere near.
bool NoteJudge::only_noise(std::size_t i, int midi) const {
  const Event& e = event(i);
  const Fine& f = a_.events[i];
  const double length = f.next_s - f.onset_s;
  if (e.pitches.size() != 1 || !e.held.empty() || e.ornamented || length < noise_s) return false;
  // Of two notes of one pitch either may fill both places.
  if (follows(i, midi) || (i + 1 < a_.events.size() && has(i + 1, midi))) return false;
  // Where playing stops, its silence is nobody's note.
  if (ends(i)) return false;
  const Tone t = measure_tone(a_.seen, e, midi, f.onset_s, f.next_s, a_.shift_cents, nearby(i));
  if (t.evidence > noise_evidence || t.present > noise_present || t.support > noise_support) {
    return false;
  }
  // What may have been played for it is no noise, however soft.
  if (t.rival_share > noise_share && std::abs(t.rival - midi) <= farthest_slip) return false;
  const double softer = softer_db(i, 0.5);
  const bool noise = t.rival_share < noise_share && softer > noise_softer_db;
  if (!noise && softer < resonance_db) return false;
  const double from = i > 0 ? a_.events[i - 1].onset_s : f.onset_s;
  const double to = i + 1 < a_.events.size() ? a_.events[i + 1].next_s : f.next_s;
  return !may_sound(midi, from, to, std::min(length, longest_doubt_s));
}

// Where playing begins or ends, no neighbour proves that the tone stands in the note's place: it
// must begin there of itself, or be the item's own first or last note.
bool NoteJudge::begins(std::size_t i) const {
  if ((!starts(i) || event(i).first) && (!ends(i) || event(i).last)) return true;
  return is_struck(i);
}

bool NoteJudge::is_struck(std::size_t i) const {
  const double at = a_.events[i].onset_s;
  return a_.seen.sound().strongest_onset(at - 0.03, at + 0.05) > 1;
}

bool NoteJudge::nothing_there(std::size_t i, int midi) const {
  const Fine& f = a_.events[i];
  const bool empty = f.sounds_until_s - f.onset_s < 0.06 && f.next_s - f.onset_s > 0.15;
  if (event(i).pitches.size() > 1 || event(i).plucked || !neighbours_found(i)) return false;
  if (only_noise(i, midi)) return true;
  if (!empty) return false;
  const Tone all = measure_tone(a_.seen, event(i), midi, f.onset_s, f.next_s, a_.shift_cents);
  std::size_t silent = 0, frames = 0;
  for (double t = f.onset_s; t < f.next_s; t += a_.seen.step_s()) {
    const std::size_t k =
        std::min(a_.seen.frames() - 1, static_cast<std::size_t>(t / a_.seen.step_s()));
    ++frames, silent += a_.seen.quiet(k) || a_.seen.ringing(k);
  }
  return all.present < 0.15 && silent * 10 > frames * 7 &&
         !may_sound(midi, f.onset_s, f.next_s, f.next_s - f.onset_s);
}

bool NoteJudge::is_absent(std::size_t i, double from_s, double to_s, double written_s) const {
  const Event& e = event(i);
  if (e.pitches.size() != 1 || !e.held.empty() || e.ornamented || e.plucked) return false;
  if (written_s < shortest_absent_s || to_s - from_s < shortest_absent_s) return false;
  const Tone t =
      measure_tone(a_.seen, e, e.pitches.front(), from_s, to_s, a_.shift_cents, nearby(i));
  return t.present < 0.05 && t.evidence < wrong_evidence && t.support < wrong_support &&
         (t.own_partials < 0.1 || !a_.seen.uses().own_partials ||
          !begins_between(e.pitches.front(), a_.events[i].onset_s - near_s,
                          a_.events[i].onset_s + near_s));
}

bool NoteJudge::begins_between(int midi, double from_s, double to_s) const {
  const auto frame = [&](double s) {
    return static_cast<std::size_t>(std::max(0.0, s) / a_.seen.step_s());
  };
  return a_.seen.pitch().greatest_rise(frame(from_s), frame(to_s), midi) > least_rise;
}

bool NoteJudge::may_sound(int midi, double from_s, double to_s, double length_s) const {
  if (!a_.seen.uses().may_sound) return false;
  const double step = a_.seen.step_s();
  const auto wanted = static_cast<std::size_t>(std::max(shortest_doubt_s, length_s / 2) / step);
  const auto from = static_cast<std::size_t>(std::max(0.0, from_s) / step);
  const auto to = std::min(a_.seen.frames(), static_cast<std::size_t>(std::max(0.0, to_s) / step));
  std::vector<double> sums{0};
  for (std::size_t f = from; f < to; ++f) {
    // In noise a soft note is no louder than what counts as quiet there.
    const bool stands = a_.seen.pitch().support(f, midi) > least_support;
    sums.push_back(sums.back() + static_cast<double>(stands ? a_.seen.stands(f, midi) : -4.0F));
    if (sums.size() <= wanted) continue;
    const double mean =
        (sums.back() - sums[sums.size() - 1 - wanted]) / static_cast<double>(wanted);
    if (mean > heard_support) return true;
  }
  return false;
}

std::vector<int> NoteJudge::nearby(std::size_t i) const {
  std::vector<int> pitches;
  const auto add = [&](std::size_t j) {
    pitches.insert(pitches.end(), event(j).pitches.begin(), event(j).pitches.end());
  };
  if (i > 0) add(i - 1);
  if (i + 1 < a_.events.size()) add(i + 1);
  return pitches;
}

// The rival was to be heard just before or comes just after: it may ring or be early.
bool NoteJudge::rings_on(std::size_t i, int rival) const {
  // All partials of an octave above ring on of the note before, however clearly it begins.
  const bool octave_below = has(i, rival + 12);
  return (follows(i, rival) && (octave_below || !onset_is_clear(i))) ||
         (i + 1 < a_.events.size() && has(i + 1, rival));
}

bool NoteJudge::has(std::size_t i, int midi) const {
  const auto& pitches = event(i).pitches;
  return std::binary_search(pitches.begin(), pitches.end(), midi);
}

bool NoteJudge::follows(std::size_t i, int midi) const { return i > 0 && has(i - 1, midi); }

bool NoteJudge::onset_is_clear(std::size_t i) const { return a_.events[i].onset_share > 0.9; }

bool NoteJudge::neighbours_found(std::size_t i, Between may_lie_between) const {
  if (!a_.seen.uses().neighbours) return true;
  const auto leads_to_a_found_one = [&](int by) {
    std::size_t j = i;
    for (std::size_t passed = 0; passed <= longest_row; ++passed) {
      if (by < 0 ? starts(j) : ends(j)) return passed == 0;
      j = by < 0 ? j - 1 : j + 1;
      const Place& p = place(j);
      if (p.found) return true;
      const bool other = p.another >= 0 && may_lie_between == Between::silence_or_others;
      if (!p.silent && !other) return false;
    }
    return false;
  };
  return leads_to_a_found_one(-1) && leads_to_a_found_one(1);
}

const NoteJudge::Place& NoteJudge::place(std::size_t i) const {
  if (!places_[i]) places_[i] = look_at(i);
  return *places_[i];
}

NoteJudge::Place NoteJudge::look_at(std::size_t i) const {
  const Fine& f = a_.events[i];
  const Event& e = event(i);
  const bool silent = f.next_s - f.onset_s > row_silence_s &&
                      a_.seen.silent_share(f.onset_s, f.next_s) > row_silence;
  if (f.left_out) return {false, silent, -1};
  const Tone own =
      measure_tone(a_.seen, e, e.pitches.back(), f.onset_s, f.sounds_until_s, a_.shift_cents);
  const double level_db = level_not_exceeded(a_.seen, f.onset_s, f.sounds_until_s, 0.5);
  const bool loud = level_db > a_.seen.playing_level_db() - faint_db;
  if (loud && (own.evidence > heard_evidence || own.support > heard_support)) {
    return {true, false, -1};
  }
  if (silent) return {false, true, -1};
  const Tone all =
      measure_tone(a_.seen, e, e.pitches.back(), f.onset_s, f.next_s, a_.shift_cents, nearby(i));
  return {false, false, is_struck(i) && is_another(i, all) ? all.rival : -1};
}

// All of a row sound like the notes a few places further on, or back: then it was rather misplaced.
bool NoteJudge::is_moved_row(std::size_t i, int rival) const {
  std::size_t from = i, to = i + 1;
  while (!starts(from) && i - from < longest_row && place(from - 1).another >= 0) --from;
  while (!ends(to - 1) && to - i < longest_row && place(to).another >= 0) ++to;
  if (to - from < 2) return false;
  const auto moved_by = [&](std::ptrdiff_t by) {
    for (std::size_t j = from; j < to; ++j) {
      const auto there = static_cast<std::ptrdiff_t>(j) + by;
      if (there < 0 || there >= static_cast<std::ptrdiff_t>(a_.events.size())) return false;
      if (!has(static_cast<std::size_t>(there), j == i ? rival : place(j).another)) return false;
    }
    return true;
  };
  for (std::ptrdiff_t by = 1; by <= furthest_moved; ++by) {
    if (moved_by(by) || moved_by(-by)) return true;
  }
  return false;
}

double NoteJudge::likeness(const Fine& f, int midi, const Tone& tone) {
  const bool off = off_but_there(tone, midi);
  const double evidence = off ? std::max(tone.evidence, -0.3) : tone.evidence;
  const double present = off ? 0.8 : tone.present;
  const double pitch = logistic(2.0 + 1.3 * evidence + 1.5 * (present - 0.5));
  return pitch * (0.3 + 0.7 * f.onset_share);
}

}  // namespace endpin::listen
