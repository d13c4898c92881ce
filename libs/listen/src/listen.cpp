#include "endpin/listen/listen.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "endpin/base/pitch.h"

#include "align/doubtful_runs.h"
#include "align/fine_path.h"
#include "align/first_pass.h"
#include "align/outer_notes.h"
#include "between_stages.h"
#include "measure/assemble.h"
#include "measure/bars.h"
#include "measure/reference.h"
#include "measure/strings.h"
#include "measure/tempo.h"
#include "own_sound.h"

namespace endpin {
namespace {

using namespace listen;

constexpr double retune_above_cents = 6;  // the comb forgives less than that
constexpr double soundless_dbfs = -65;
constexpr int last_midi = 127;

void add_notes(Hearing& hearing, const Timeline& timeline, int item) {
  for (const TimelineNote& n : timeline.notes) {
    NoteHearing note;
    note.item = item;
    note.index = n.index;
    note.id = n.id;
    note.bar = n.bar;
    note.pass = n.pass;
    note.onset = n.onset;
    note.duration = n.duration;
    note.midi = n.midi;
    hearing.notes.push_back(std::move(note));
  }
}

Progress part_of(const Progress& progress, double from, double to) {
  if (!progress) return {};
  return [=](double done) { progress(from + (to - from) * std::clamp(done, 0.0, 1.0)); };
}

bool has_music(const SoundFeatures& sound, const PitchEvidence& pitch) {
  std::size_t loud = 0, pitched = 0;
  for (std::size_t i = 0; i < pitch.frames(); ++i) {
    const std::size_t fine = std::min(2 * i, sound.onset.size() - 1);
    if (sound.onset[fine].level_db < soundless_dbfs) continue;
    ++loud;
    pitched += pitch.best(i) > 0.3F;
  }
  return static_cast<double>(pitched) * sound.pitch_step_s() > 0.5 && pitched * 20 > loud;
}

double given_shift(Hertz a4) { return interval(standard_a4, a4).value(); }

// Notes of the longest stretch without a jump.
int longest_run(const Path& path) {
  int longest = 0, run = 0;
  for (const Placed& p : path.placed) {
    run = p.jumped_to ? 1 : run + 1;
    longest = std::max(longest, run);
  }
  return longest;
}

// Whether the score explains the playing: a long stretch in order, most of its notes clearly there,
// and most of the sound (or very much of the score). Numbers are ours, from takes of other pieces
// in the same key, of which at most 0.44 of the sound fits, by its share times that of the notes.
HearingStatus judged_status(const Hearing& hearing, const ScoreModel& score,
                            const Observations& seen, const Path& path) {
  double loud_s = 0, placed_s = 0, heard_s = 0;
  for (std::size_t f = 0; f < seen.frames(); ++f) loud_s += seen.quiet(f) ? 0 : seen.step_s();
  int heard = 0, placed = 0;
  for (const NoteHearing& n : hearing.notes) {
    if (!n.heard) continue;
    const double seconds = (n.heard->offset.value_or(n.heard->onset) - n.heard->onset).value();
    ++placed, placed_s += seconds;
    if (n.state == NoteState::heard) ++heard, heard_s += seconds;
  }
  const int enough = std::min(6, static_cast<int>(score.events.size()));
  const int run = longest_run(path);
  const double fits = placed > 0 ? static_cast<double>(heard) / placed : 0;
  if (run < enough || fits < 0.6) return HearingStatus::wrong_piece;
  const double gain = path.score / std::max(1.0, placed_s);
  const double explained = heard_s / std::max(1.0, loud_s);
  const bool in_order = run >= 16 && fits >= 0.9;
  if (gain < 5 || (explained * fits < 0.5 && !in_order)) return HearingStatus::wrong_piece;
  // Who talks for longer than he plays has played all the same.
  const bool is_doubtful = gain < 8 || (explained < 0.5 && !in_order);
  return is_doubtful ? HearingStatus::uncertain : HearingStatus::ok;
}

// What a tuning makes of the sound. Notes are placed by what is played; pitches, ends and all other
// measures are of all that sounds.
struct Tuned {
  Tuned(const SoundFeatures& sound, const ScoreModel& score, double shift_cents,
        const Evidence& uses)
      : range(comb_range(score.lowest_midi, score.highest_midi)),
        played(sound, range.lowest, range.highest, shift_cents, uses,
               uses.fading ? Weighing::played : Weighing::sounding),
        sounding(sound, range.lowest, range.highest, shift_cents, uses),
        seen_played(sound, played, uses),
        seen(sound, sounding, uses) {}

  Tuned(const Tuned&) = delete;  // it points into itself
  Tuned& operator=(const Tuned&) = delete;

  CombRange range;
  PitchEvidence played, sounding;
  Observations seen_played, seen;
};

// What is heard of a sound, tuned `shift_cents` above 440 Hz or a little off that.
Hearing heard_at(double shift_cents, const ScoreModel& score, const SoundFeatures& sound,
                 std::span<const Timeline> items, const StagedOptions& options,
                 const Progress& progress, Hearing hearing) {
  const Evidence& uses = in_use(options.evidence);
  BetweenStages* const between = is_measured ? options.between : nullptr;
  std::optional<Tuned> tuned;
  tuned.emplace(sound, score, shift_cents, uses);
  if (!has_music(sound, tuned->played)) {
    hearing.status = HearingStatus::no_music;
    return hearing;
  }
  const auto find_path = [&](double from, double to) {
    const std::vector<Candidate> at = candidates(sound, tuned->played, uses);
    Path found = coarse_path(score, tuned->seen_played, at, part_of(progress, from, to));
    if (uses.doubtful_runs) drop_doubtful_runs(score, tuned->seen_played, found);
    prefer_first_pass(score, items, found);
    if (uses.doubtful_runs) reach_outer_notes(score, tuned->seen_played, found);
    if (between) between->path(score, at, found);
    return found;
  };
  Path path = find_path(0.5, 0.7);
  Tuning reference{shift_cents, 0};
  if (!options.a4) {
    reference = heard_tuning(score, tuned->seen, path.placed, shift_cents);
    if (std::abs(reference.cents - shift_cents) > retune_above_cents) {
      tuned.emplace(sound, score, reference.cents, uses);
      // In noise a search may lose its way that found it before.
      Path again = find_path(0.7, 0.9);
      if (again.score >= path.score) path = std::move(again);
    }
  }
  const Observations& seen = tuned->seen;
  std::vector<Fine> events = fine_path(score, tuned->seen_played, path);
  find_ends(score, seen, events);
  Aligned aligned{score, seen, std::move(events), reference.cents};
  if (between) between->events(score, seen, aligned.events);
  hearing.reference.a4 = transpose(standard_a4, Cents(reference.cents));
  if (!options.a4) hearing.reference.a4_uncertainty = Cents(reference.doubt);
  assemble(aligned, hearing);
  if (between) between->notes(aligned, hearing);
  assemble_bars(hearing);
  assemble_tempo(aligned, items, hearing);
  if (items.size() == 1) hearing.strings = string_tunings(hearing, items[0], 0);
  hearing.status = judged_status(hearing, score, seen, path);
  return hearing;
}

// `any_semitone`: the instrument may be tuned half a semitone off and further.
Hearing heard_in(std::span<const Timeline> items, AudioView recording, const StagedOptions& options,
                 bool any_semitone, const Progress& progress, const Hearing& unheard) {
  const ScoreModel score = score_model(items, options);
  if (score.events.empty()) return unheard;
  SoundFeatures sound =
      sound_features(recording,
                     {.low_notes = score.has_low_notes() && in_use(options.evidence).long_window,
                      .longest_period_s = 1 / frequency(score.lowest_midi).value()},
                     part_of(progress, 0, 0.5));
  if (is_measured && options.between) options.between->features(sound);
  const double shift = options.a4 ? given_shift(*options.a4) : tuning_cents(sound);
  Hearing hearing = heard_at(shift, score, sound, items, options, progress, unheard);
  if (hearing.status != HearingStatus::wrong_piece || options.a4 || !any_semitone) return hearing;
  // Partials tell how far they lie from the nearest semitone, not which semitone they are.
  const double nearer = shift > 0 ? -100 : 100;
  for (const double semitone : {nearer, -nearer}) {
    Hearing moved = heard_at(shift + semitone, score, sound, items, options, {}, unheard);
    if (moved.status == HearingStatus::ok) return moved;
  }
  return hearing;
}

// A refusal says nothing about notes.
void forget_notes(Hearing& hearing) {
  for (NoteHearing& n : hearing.notes) {
    n.state = NoteState::not_reached;
    n.heard.reset();
    n.attempts.clear();
  }
  hearing.extra.clear();
  hearing.restarts.clear();
  hearing.bars.clear();
  hearing.segments.clear();
  hearing.tempo = {};
  hearing.strings.clear();
  hearing.range_from.reset();
  hearing.range_to.reset();
}

void move_by_octaves(Hearing& hearing, int octaves) {
  for (NoteHearing& n : hearing.notes) {
    n.midi += 12 * octaves;
    if (n.heard) n.heard->midi += 12 * octaves;
  }
  for (ExtraNote& e : hearing.extra) e.midi += 12 * octaves;
}

// The take as one of the same notes an octave higher or lower, if it is that.
std::optional<Hearing> heard_an_octave_away(std::span<const Timeline> items, AudioView recording,
                                            const StagedOptions& options, const Hearing& unheard) {
  for (const int octaves : {1, -1}) {
    std::vector<Timeline> moved(items.begin(), items.end());
    bool in_range = true;
    for (Timeline& t : moved) {
      for (TimelineNote& n : t.notes) {
        n.midi += 12 * octaves;
        in_range = in_range && n.midi >= 0 && n.midi <= last_midi;
      }
    }
    if (!in_range) continue;
    Hearing hearing = unheard;
    move_by_octaves(hearing, octaves);
    hearing = heard_in(moved, recording, options, false, {}, hearing);
    if (hearing.status != HearingStatus::ok) continue;
    move_by_octaves(hearing, -octaves);
    hearing.reference.octaves = octaves;
    hearing.strings.clear();  // on which string it was played is not known then
    return hearing;
  }
  return std::nullopt;
}

Hearing heard_in_some_octave(std::span<const Timeline> items, AudioView recording,
                             const StagedOptions& options, const Progress& progress,
                             const Hearing& unheard) {
  Hearing hearing = heard_in(items, recording, options, true, progress, unheard);
  if (hearing.status != HearingStatus::wrong_piece) return hearing;
  const auto moved = heard_an_octave_away(items, recording, options, unheard);
  return moved.value_or(hearing);
}

}  // namespace

Hearing listen::hear_own(std::span<const Timeline> items, const OwnSound& own,
                         const StagedOptions& options, const Progress& progress) {
  Hearing hearing;
  hearing.engine_version = "0.1.0";
  hearing.recording = {own.length, own.recorded_at_hz, ""};
  hearing.reference.a4 = options.a4;
  hearing.reference.a4_given = options.a4.has_value();
  if (!items.empty()) {
    hearing.score.part = items[0].part;
    hearing.score.instrument = items[0].instrument;
  }
  for (std::size_t i = 0; i < items.size(); ++i) add_notes(hearing, items[i], static_cast<int>(i));
  if (!(own.length.value() >= shortest_take_s)) {
    hearing.status = HearingStatus::too_short;
    return hearing;
  }
  if (is_backing_alone(own) || !is_hearable_rate(own.recorded_at_hz)) {
    hearing.status = HearingStatus::no_music;
  } else {
    hearing = heard_in_some_octave(items, own.sound, options, progress, hearing);
    doubt_beside_backing(own, hearing);
  }
  if (hearing.status == HearingStatus::wrong_piece) forget_notes(hearing);
  if (progress) progress(1);
  return hearing;
}

Hearing listen::hear_staged(std::span<const Timeline> items, AudioView recording,
                            const StagedOptions& options, const Progress& progress) {
  const WithoutBacking without(recording, options.backing);
  Hearing hearing = hear_own(items, without.own(), options, progress);
  hearing.backing_at = without.backing_at();
  return hearing;
}

Hearing hear(std::span<const Timeline> items, AudioView recording, const HearOptions& options,
             const Progress& progress) {
  return listen::hear_staged(items, recording, {options, {}, nullptr}, progress);
}

}  // namespace endpin
