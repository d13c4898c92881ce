#include <algorithm>
#include <cmath>
#include <span>

#include <fmt/format.h>

#include "endpin/listen/findings.h"
#include "endpin/listen/listen.h"
#include "endpin/perform/fluid_sounds.h"
#include "endpin/perform/perform.h"
#include "endpin/perform/tone_bank.h"
#include "endpin/simulator/channel.h"

#include "evaluation.h"
#include "mixing.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

// A small loudspeaker beside the student, heard through the same room.
constexpr Seconds speaker_room = Seconds(0.3);
constexpr Hertz speaker_from = Hertz(180);
constexpr double placed_within_s = 0.02;

struct Tally {
  std::vector<Share> placed, lost, accused, taken, falsely;
};

/// A take beside the play-along: both begin their first note together, but for the student's own
/// unsteadiness.
struct Beside {
  Take take;
  Audio backing;       ///< as it was played to the student
  Seconds backing_at;  ///< in the take
};

struct PlayAlong {
  Audio audio;
  Seconds first_note;
};

/// What plays beside the student, and how.
struct Played {
  bool click = false;              ///< a click on every beat; else the play-along
  std::optional<double> level_db;  ///< beside the student; empty: over headphones, not to be heard
  std::string in_words() const {
    const char* what = click ? "click" : "play-along";
    if (!level_db) return fmt::format("{} over headphones", what);
    return fmt::format("{} {:.0f} dB beside the student", what, *level_db);
  }
};

std::optional<PlayAlong> play_along(const Timeline& timeline, int rate, bool click) {
  auto sounds = FluidSounds::open(timeline.instrument);
  if (!sounds) return std::nullopt;
  ToneBank tones(**sounds);
  PerformOptions options;
  options.part = !click;
  options.click = click;
  const auto played = perform(timeline, options, tones);
  if (!played) return std::nullopt;
  return PlayAlong{at_rate(played->audio, rate), played->notes.front().start};
}

// As a device plays it whose clock is another than the recorder's: two crystals (100 ppm, ours).
Audio by_another_clock(const Audio& audio, std::uint64_t seed) {
  const double step = 1 + 1e-6 * Random(seed + 5).uniform(-100, 100);
  Audio out{audio.rate, {}};
  for (double at = 0; at + 1 < static_cast<double>(audio.samples.size()); at += step) {
    const auto before = static_cast<std::size_t>(at);
    const auto share = static_cast<float>(at - static_cast<double>(before));
    out.samples.push_back((1 - share) * audio.samples[before] + share * audio.samples[before + 1]);
  }
  return out;
}

std::optional<Beside> beside(const Studio& studio, const TakeOptions& options, Fault fault,
                             const Played& played, std::uint64_t seed) {
  TakeOptions alone = options;
  alone.condition = Condition::clean;
  auto take = studio.take_with(fault, alone, seed);
  if (!take) return std::nullopt;
  auto backing = play_along(take->timeline, take->audio.rate, played.click);
  if (!backing) return std::nullopt;
  const double before_s = Random(seed).uniform(0.3, 2.5);  // the recording was on already
  take->audio = joined(silence(Seconds(before_s), take->audio.rate), take->audio);
  for (auto& n : take->performance.notes) {
    n.onset += Seconds(before_s);
    n.offset += Seconds(before_s);
  }
  const Seconds at = take->performance.notes.front().onset - backing->first_note;
  if (played.level_db) {
    Audio speaker = by_another_clock(backing->audio, seed);
    add_room(speaker, speaker_room, seed);
    high_pass(speaker, speaker_from);
    const double gain = std::pow(10, *played.level_db / 20) * rms(take->audio) / rms(speaker);
    mix_in(take->audio, speaker, at, gain);
  }
  take->audio = through(std::move(take->audio), options.condition, seed);
  return Beside{std::move(*take), std::move(backing->audio), at};
}

Hearing hear_beside(const Beside& b) {
  HearOptions options;
  options.backing = Backing{{b.backing.samples, static_cast<double>(b.backing.rate)}, std::nullopt};
  const std::span<const Timeline> items(&b.take.timeline, 1);
  Hearing hearing =
      hear(items, {b.take.audio.samples, static_cast<double>(b.take.audio.rate)}, options);
  add_findings(hearing, items);
  return hearing;
}

/// Notes that the student left out and the loudspeaker played: heard as if they were the student's.
Share taken_for_the_students(const Take& take, const Hearing& hearing) {
  Share share;
  for (std::size_t i = 0; i < take.performance.truth.size(); ++i) {
    if (take.performance.truth[i].state != NoteState::missed) continue;
    share.cases += 1;
    share.hits += hearing.notes[i].state == NoteState::heard ? 1 : 0;
  }
  return share;
}

Share lost(const Take& take, const Hearing& hearing) {
  Share share;
  for (std::size_t i = 0; i < take.performance.truth.size(); ++i) {
    if (take.performance.truth[i].state != NoteState::heard) continue;
    share.cases += 1;
    share.hits += hearing.notes[i].state == NoteState::heard ? 0 : 1;
  }
  return share;
}

void judge(const Beside& b, const Played& played, const std::string& on, Tally& tally,
           Report& report) {
  const Hearing hearing = hear_beside(b);
  const auto match = match_findings(true_findings(b.take.performance.findings, b.take.performance),
                                    true_findings(b.take.performance.tolerated, b.take.performance),
                                    hearing.findings);
  const bool there = hearing.backing_at &&
                     std::abs((*hearing.backing_at - b.backing_at).value()) < placed_within_s;
  const bool placed = played.level_db ? there : hearing.backing_at.has_value();
  tally.placed.push_back({placed ? 1.0 : 0.0, 1.0});
  tally.lost.push_back(lost(b.take, hearing));
  tally.accused.push_back(accused(b.take.timeline, b.take.performance, hearing));
  tally.taken.push_back(taken_for_the_students(b.take, hearing));
  tally.falsely.push_back({match.false_findings.empty() ? 0.0 : 1.0, 1.0});
  for (const auto* f : match.false_findings) {
    report.failures.push_back(
        fmt::format("FALSE beside {}, {}: {}", on, b.take.name, in_words(*f)));
  }
}

void figures(const std::string& on, const Played& played, const Tally& tally,
             const Settings& settings, Report& report) {
  const auto add = [&](const char* what, const std::vector<Share>& shares, const char* of) {
    report.add(share_figure(on, what, shares, of, settings.seed));
  };
  const char* placed = played.level_db ? "placed within 20 ms" : "placed where there is none";
  add(placed, tally.placed, "takes");
  add("student's notes not heard", tally.lost, "notes");
  add("student's notes called wrong or missed", tally.accused, "notes");
  add("left out by the student, heard of the model", tally.taken, "notes");
  add("takes with a false finding", tally.falsely, "takes");
}

}  // namespace

/// The play-along, or a click, from a loudspeaker under the student's playing, another set of
/// sounds than the student's, in unison; a note is left out, or flat in every fourth take.
Report backing_section(const Settings& settings, const Studio& studio) {
  std::vector<Played> all;
  for (const double level_db : {-20.0, -12.0, -6.0, 0.0}) all.push_back({false, level_db});
  for (const double level_db : {-20.0, -6.0}) all.push_back({true, level_db});
  for (const bool click : {false, true}) all.push_back({click, std::nullopt});
  Report report;
  for (const auto condition :
       {Condition::clean, Condition::room, Condition::phone_20, Condition::phone_10}) {
    for (const Played& played : all) {
      Tally tally;
      const auto on = fmt::format("{}, {}", played.in_words(), name(condition));
      for (int i = 0; i < settings.takes.value_or(settings.count(4, 40)); ++i) {
        static const char* instruments[] = {"violin", "cello", "viola", "cello"};
        TakeOptions options;
        options.instrument = instruments[i % 4];
        options.player = i % 2 == 0 ? good_student() : beginner();
        options.condition = condition;
        const Fault fault = i % 4 == 3 ? Fault::flat_note : Fault::missed_note;
        const auto seed = settings.seed * 1000 + 700 + static_cast<unsigned>(i);
        const auto b = beside(studio, options, fault, played, seed);
        if (b) judge(*b, played, on, tally, report);
      }
      figures(on, played, tally, settings, report);
    }
  }
  return report;
}

}  // namespace endpin::evaluation
