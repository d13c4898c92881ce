#include "endpin/perform/perform.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <utility>

#include "endpin/perform/stems.h"

#include "bow.h"
#include "clicks.h"
#include "drone.h"
#include "master.h"
#include "score_range.h"

namespace endpin {
namespace {

constexpr double tail_s = 0.5;  // silence after the last sound
constexpr double drone_gain = 0.22;
constexpr double longest_s = 60 * 60;

/// Everything about a performance but its sound.
struct Plan {
  ScoreRange range;
  TempoMap tempo{Bpm(60)};
  std::vector<Beat> beats;
  std::vector<PerformedNote> notes;
  Seconds start;  // when range.start sounds
  Seconds end;    // when range.end does
  double beats_per_minute = 0;

  Seconds at(Beats place) const {
    return start + (tempo.seconds_at(place) - tempo.seconds_at(range.start));
  }
};

Unexpected refuse(std::string what, std::string remedy) {
  return Unexpected({ErrorKind::input, {}, {}, std::move(what), std::move(remedy)});
}

Result<TempoMap> tempo_for(const Timeline& timeline, const ScoreRange& range,
                           const PerformOptions& options) {
  if (!options.beats_per_minute) return timeline.tempo;
  const double wanted = *options.beats_per_minute;
  if (!(wanted >= slowest_beat && wanted <= fastest_beat)) {
    return refuse("this tempo cannot be played", "Choose one from 10 to 400 beats a minute.");
  }
  const double quarters = wanted * timeline.beat_unit.to_double();
  return timeline.tempo.scaled(quarters / timeline.tempo.tempo_at(range.start).value());
}

Result<Plan> make_plan(const Timeline& timeline, const PerformOptions& options) {
  auto range = score_range(timeline, options.first_bar, options.last_bar);
  if (!range) return Unexpected(std::move(range).error());
  auto tempo = tempo_for(timeline, *range, options);
  if (!tempo) return Unexpected(std::move(tempo).error());
  Plan plan;
  plan.range = *range;
  plan.tempo = *tempo;
  const Bpm quarters = plan.tempo.tempo_at(plan.range.start);
  plan.beats_per_minute = quarters.value() / timeline.beat_unit.to_double();
  plan.beats = count_in(timeline, plan.range, options.count_in_bars);
  if (!plan.beats.empty()) {
    plan.start = (plan.range.start - plan.beats.front().at).to_double() * quarters.per_quarter();
  }
  if (options.click) {
    const auto more = beats(timeline, plan.range);
    plan.beats.insert(plan.beats.end(), more.begin(), more.end());
  }
  plan.end = plan.at(plan.range.end);
  if (plan.end.value() > longest_s) {
    return refuse("this would sound for more than an hour", "Choose fewer --bars.");
  }
  plan.notes = performed_notes(timeline, plan.tempo, plan.range.start, plan.start,
                               plan.range.first_note, plan.range.last_note, options.fractions);
  return plan;
}

// The tempo of the count-in is that of the beginning, which the map holds before 0 as well only
// where it does not change at range.start: so it is counted back by hand.
Seconds click_at(const Plan& plan, const Beat& beat) {
  if (!beat.count_in) return plan.at(beat.at);
  const Bpm quarters = plan.tempo.tempo_at(plan.range.start);
  return plan.start - (plan.range.start - beat.at).to_double() * quarters.per_quarter();
}

/// Adds `notes`, times `gain`. Asks for each pitch once, as long as its longest note.
Result<void> add_notes(std::span<float> out, std::vector<PerformedNote> notes, ToneBank& tones,
                       double gain) {
  std::map<std::pair<Technique, int>, std::size_t> longest;
  for (const PerformedNote& note : notes) {
    std::size_t& length = longest[{note.technique, note.midi}];
    length = std::max(length, tone_samples(note));
  }
  for (PerformedNote& note : notes) {
    const auto tone = tones.tone(note.technique, note.midi, longest[{note.technique, note.midi}]);
    if (!tone) return Unexpected(tone.error());
    note.gain *= gain;
    add_note(out, note, *tone);
  }
  return {};
}

Performance times_of(const Timeline& timeline, const Plan& plan) {
  Performance performance;
  performance.audio.rate = performance_rate;
  performance.count_in = plan.start;
  performance.beats_per_minute = plan.beats_per_minute;
  for (const PerformedNote& note : plan.notes) {
    const TimelineNote& written = timeline.notes[static_cast<std::size_t>(note.index)];
    performance.notes.push_back(
        {note.index, note.start, plan.at(written.onset + written.duration)});
  }
  for (const Beat& beat : plan.beats) {
    performance.clicks.push_back({click_at(plan, beat), beat.accented, beat.count_in});
  }
  for (std::size_t i = plan.range.first_bar; i <= plan.range.last_bar; ++i) {
    const TimelineBar& bar = timeline.bars[i];
    performance.bars.push_back({bar.number, bar.pass, plan.at(bar.start)});
  }
  return performance;
}

std::vector<float> sum_of(std::span<const Layer> layers) {
  std::vector<float> sum(layers.front().begin(), layers.front().end());
  for (const Layer layer : layers.subspan(1)) {
    for (std::size_t i = 0; i < sum.size(); ++i) sum[i] += layer[i];
  }
  return sum;
}

}  // namespace

Result<Stems> stems(const Timeline& timeline, const PerformOptions& options, ToneBank& tones) {
  const auto plan = make_plan(timeline, options);
  if (!plan) return Unexpected(plan.error());
  const auto samples = static_cast<std::size_t>((plan->end.value() + tail_s) * performance_rate);
  const std::vector<float> silence(samples);
  Stems stems{silence, silence, silence, silence, times_of(timeline, *plan)};
  if (const auto added = add_notes(stems.part, plan->notes, tones, 1); !added) {
    return Unexpected(added.error());
  }
  if (options.drone) {
    const auto drone = drone_notes(timeline, plan->start, plan->end);
    if (const auto added = add_notes(stems.drone, drone, tones, drone_gain); !added) {
      return Unexpected(added.error());
    }
  }
  for (const Beat& beat : plan->beats) {
    add_click(beat.count_in ? stems.count_in : stems.click, click_at(*plan, beat), beat.accented);
  }
  return stems;
}

Audio mix(std::span<const Layer> heard, std::span<const Layer> measured, double loudness_lufs,
          double true_peak_dbtp) {
  const double gain_db = loudness_lufs - loudness(sum_of(measured));
  const auto gain = static_cast<float>(gain_db < 60 ? std::pow(10, gain_db / 20) : 1);
  std::vector<float> out = heard.empty() ? std::vector<float>(measured.front().size())  //
                                         : sum_of(heard);
  for (float& s : out) s *= gain;
  limit(out, std::pow(10, (true_peak_dbtp - 0.1) / 20));
  return {performance_rate, std::move(out)};
}

Result<Performance> perform(const Timeline& timeline, const PerformOptions& options,
                            ToneBank& tones) {
  auto made = stems(timeline, options, tones);
  if (!made) return Unexpected(made.error());
  const Layer all[] = {made->part, made->drone, made->count_in, made->click};
  const auto heard = std::span(all).subspan(options.part ? 0 : 1);
  made->performance.audio = mix(heard, all, options.loudness_lufs, options.true_peak_dbtp);
  return std::move(made->performance);
}

}  // namespace endpin
