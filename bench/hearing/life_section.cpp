#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <span>

#include <fmt/format.h>

#include "endpin/listen/findings.h"
#include "endpin/listen/listen.h"
#include "endpin/simulator/tunes.h"

#include "evaluation.h"
#include "mixing.h"
#include "speech.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

constexpr double found_within_s = 0.1;

/// One file as it comes from a lesson: what was played in it, and what else is to be heard.
struct Day {
  std::vector<Take> takes;  ///< one an item; their times are those of the file
  Audio audio;
  std::optional<SegmentKind> beside;  ///< what the sound around the playing is
};

struct Tally {
  std::vector<Share> found, accused, falsely, told;
};

Audio beat_clicks(int beats, double beat_s, int rate) {
  Audio clicks = silence(Seconds(beats * beat_s), rate);
  for (int b = 0; b < beats; ++b) {
    const auto from = static_cast<std::size_t>(b * beat_s * rate);
    for (std::size_t i = 0; i < 1500 && from + i < clicks.samples.size(); ++i) {
      const double t = static_cast<double>(i) / rate;
      const double tone = std::sin(2 * std::numbers::pi * 1500 * t) * std::exp(-t / 0.008);
      clicks.samples[from + i] = static_cast<float>(0.3 * tone);
    }
  }
  return clicks;
}

/// Some thirty pairs of hands: bursts of noise, each of its own pace, that swell and die.
Audio applause(Seconds length, int rate, Random random) {
  Audio out = silence(length, rate);
  for (int hands = 0; hands < 30; ++hands) {
    const double every_s = random.uniform(0.18, 0.3);
    for (double at = random.uniform(0, 0.3); at < length.value(); at += every_s) {
      const double swell = std::sin(std::numbers::pi * at / length.value());
      const auto from = static_cast<std::size_t>(at * rate);
      for (std::size_t i = 0; i < 600 && from + i < out.samples.size(); ++i) {
        const double t = static_cast<double>(i) / rate;
        out.samples[from + i] +=
            static_cast<float>(0.06 * swell * std::exp(-t / 0.004) * random.uniform(-1, 1));
      }
      at += random.uniform(-0.02, 0.02);
    }
  }
  return out;
}

/// The four strings one after the other, a quarter tone low at first and then drawn up.
Audio tuning(const Studio& studio, const TakeOptions& options, std::uint64_t seed) {
  Timeline strings = studio.tune(options, seed);
  strings.notes.resize(4);
  Plan plan = plan_of(strings);
  const auto& open = open_strings(options.instrument);
  for (std::size_t i = 0; i < 4; ++i) {
    auto& intent = plan.intents[i];
    intent = {};
    intent.index = -1;
    intent.at = 3.0 * static_cast<double>(i);
    intent.length = 3;
    intent.midi = open[i];
    intent.string = static_cast<int>(i) + 1;
    intent.cents = -12;
  }
  return studio.play(strings, plan, options, seed).audio;
}

/// Degrees of the major key of `tune`, 0 its lowest tonic on the instrument: a quarter each.
Audio warm_up(const Studio& studio, const TakeOptions& options, const Timeline& tune,
              const std::vector<int>& degrees, std::uint64_t seed) {
  constexpr std::array steps{0, 2, 4, 5, 7, 9, 11, 12};
  int tonic = open_strings(options.instrument).back();
  while ((tonic - 7 * tune.fifths) % 12 != 0) ++tonic;
  Timeline warm = tune;
  warm.notes.resize(std::min(warm.notes.size(), degrees.size()));
  Plan plan = plan_of(warm);
  for (std::size_t i = 0; i < plan.intents.size(); ++i) {
    auto& intent = plan.intents[i];
    intent = {};
    intent.index = -1;
    intent.at = static_cast<double>(i);
    intent.length = 1;
    intent.midi = tonic + steps[static_cast<std::size_t>(degrees[i])];
    intent.string = first_position(options.instrument, intent.midi)->string;
  }
  return studio.play(warm, plan, options, seed).audio;
}

void move_by(Take& take, Seconds by) {
  for (auto& n : take.performance.notes) n.onset += by, n.offset += by;
}

Day day_of(Take take) {
  Day day;
  day.audio = take.audio;
  day.takes.push_back(std::move(take));
  return day;
}

void put_before(Day& day, const Audio& sound) {
  for (Take& take : day.takes) move_by(take, sound.duration());
  day.audio = joined(sound, day.audio);
}

/// As loud as speech or hands beside an instrument: `below_db` under it.
Audio levelled(Audio sound, const Audio& beside, double below_db) {
  const double gain = std::pow(10, -below_db / 20) * rms(beside) / std::max(1e-9, rms(sound));
  for (float& x : sound.samples) x *= static_cast<float>(gain);
  return sound;
}

std::optional<Audio> said(const Settings& settings, const std::string& words, const Day& day,
                          int words_a_minute = 175) {
  const auto spoken = speech(settings.cache, words, words_a_minute);
  if (!spoken) return std::nullopt;
  return levelled(at_rate(*spoken, day.audio.rate), day.audio, 6);
}

Take transposed(const Studio& studio, const TakeOptions& options, int octaves, std::uint64_t seed) {
  const auto timeline = studio.tune(options, seed);
  Plan plan = plan_of(timeline);
  for (auto& intent : plan.intents) intent.midi += 12 * octaves;
  Take take = studio.play(timeline, plan, options, seed);
  for (auto& note : take.performance.notes) note.midi -= 12 * octaves;
  for (auto& truth : take.performance.truth) {
    if (truth.state == NoteState::wrong) truth.state = NoteState::heard;
  }
  return take;
}

Take at_pitch(const Studio& studio, const TakeOptions& options, double a4, std::uint64_t seed) {
  const auto timeline = studio.tune(options, seed);
  Plan plan = plan_of(timeline);
  plan.a4_cents = 1200 * std::log2(a4 / 440);
  return studio.play(timeline, plan, options, seed);
}

/// A scale, a drill and a piece in one file.
Day three_items(const Studio& studio, const TakeOptions& options, std::uint64_t seed) {
  Day day;
  day.audio = silence(Seconds(0.3), 44100);
  for (const int bars : {4, 4, 8}) {
    TakeOptions item = options;
    item.bars = bars;
    Take take = studio.take(item, seed + 31 * static_cast<unsigned>(day.takes.size()));
    move_by(take, day.audio.duration());
    day.audio = joined(day.audio, take.audio);
    day.takes.push_back(std::move(take));
  }
  return day;
}

Hearing hear_day(const Day& day) {
  std::vector<Timeline> items;
  for (const Take& take : day.takes) items.push_back(take.timeline);
  Hearing hearing = hear(items, {day.audio.samples, static_cast<double>(day.audio.rate)});
  add_findings(hearing, items);
  return hearing;
}

// Of the notes that were played right, those for which `holds(take, its truth, what was heard)`.
template <typename F>
Share share_of_notes(const Day& day, const Hearing& hearing, F&& holds) {
  Share share;
  std::size_t first = 0;
  for (const Take& take : day.takes) {
    const auto& truth = take.performance.truth;
    for (std::size_t i = 0; i < truth.size(); ++i) {
      if (truth[i].state != NoteState::heard) continue;
      share.cases += 1;
      share.hits += holds(take, truth[i], hearing.notes[first + i]) ? 1 : 0;
    }
    first += truth.size();
  }
  return share;
}

Share found_notes(const Day& day, const Hearing& hearing) {
  return share_of_notes(day, hearing, [](const Take& take, const auto& truth, const auto& note) {
    const double onset = take.performance.notes[*truth.played].onset.value();
    return note.state == NoteState::heard && note.heard &&
           std::abs(note.heard->onset.value() - onset) < found_within_s;
  });
}

Share accused_notes(const Day& day, const Hearing& hearing) {
  return share_of_notes(day, hearing, [](const Take&, const auto&, const auto& note) {
    return note.state == NoteState::wrong || note.state == NoteState::missed;
  });
}

void judge(const Day& day, const std::string& on, Tally& tally, Report& report) {
  const Hearing hearing = hear_day(day);
  tally.found.push_back(found_notes(day, hearing));
  tally.accused.push_back(accused_notes(day, hearing));
  bool falsely = false;
  for (const auto& f : hearing.findings) {
    if (tone(f.kind) != Tone::work) continue;
    falsely = true;
    report.failures.push_back(
        fmt::format("FALSE {}, {}: {}", on, day.takes.front().name, in_words(f)));
  }
  tally.falsely.push_back({falsely ? 1.0 : 0.0, 1.0});
  if (!day.beside) return;
  const bool told = std::any_of(hearing.segments.begin(), hearing.segments.end(),
                                [&](const Segment& s) { return s.kind == *day.beside; });
  tally.told.push_back({told ? 1.0 : 0.0, 1.0});
}

void figures(const std::string& on, const Tally& tally, const Settings& settings, Report& report) {
  const auto add = [&](const char* what, const std::vector<Share>& shares, const char* of) {
    if (shares.empty()) return;
    report.add(share_figure("life: " + on, what, shares, of, settings.seed));
  };
  add("notes found within 100 ms", tally.found, "notes");
  add("notes called wrong or missed", tally.accused, "notes");
  add("takes with a false finding", tally.falsely, "takes");
  add("what sounds beside is named", tally.told, "takes");
}

using MakeDay = std::function<std::optional<Day>(const TakeOptions& options, std::uint64_t seed)>;

std::vector<std::pair<std::string, MakeDay>> days(const Settings& settings, const Studio& studio) {
  const auto plain = [&](const TakeOptions& o, std::uint64_t seed) {
    return day_of(studio.take(o, seed));
  };
  const auto between_talk = [&, plain](double least_share) {
    return [&, plain, least_share](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
      Day day = plain(o, seed);
      const auto once = said(settings, rehearsal_words, day);
      if (!once) return std::nullopt;
      Audio words = *once;
      while (words.duration().value() < least_share * day.audio.duration().value()) {
        words = joined(words, *once);
      }
      put_before(day, words);
      day.audio = joined(day.audio, words);
      day.beside = SegmentKind::talk;
      return day;
    };
  };
  const auto after_warm_up = [&, plain](std::vector<int> degrees) {
    return [&, plain, degrees](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
      Day day = plain(o, seed);
      put_before(day, warm_up(studio, o, day.takes.front().timeline, degrees, seed));
      return day;
    };
  };
  const auto tuned_to = [&](double a4) {
    return [&, a4](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
      return day_of(at_pitch(studio, o, a4, seed));
    };
  };
  return {
      {"talk before and after", between_talk(0)},
      {"talk for longer than playing", between_talk(1)},
      {"a scale in the key before", after_warm_up({0, 1, 2, 3, 4, 5, 6, 7, 6, 5, 4, 3, 2, 1, 0})},
      {"broken chords before", after_warm_up({0, 2, 4, 7, 4, 2, 0, 0, 3, 5, 7, 5, 3, 0})},
      {"another tune before",
       [&, plain](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
         Day day = plain(o, seed);
         put_before(day, studio.take(o, seed + 5000).audio);
         return day;
       }},
      {"tuning before",
       [&, plain](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
         Day day = plain(o, seed);
         put_before(day, tuning(studio, o, seed));
         day.beside = SegmentKind::tuning;
         return day;
       }},
      {"count-in, clicked",
       [plain](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
         Day day = plain(o, seed);
         const Take& take = day.takes.front();
         const double beat_s = take.timeline.tempo.tempo_at(Beats(0)).per_quarter().value();
         const double first_s = take.performance.notes.front().onset.value();
         const int beats = static_cast<int>(std::ceil(first_s / beat_s)) + 4;
         put_before(day, silence(Seconds(beats * beat_s), day.audio.rate));
         mix_in(day.audio, beat_clicks(4, beat_s, day.audio.rate),
                Seconds(day.takes.front().performance.notes.front().onset.value() - 4 * beat_s), 1);
         day.beside = SegmentKind::count_in;
         return day;
       }},
      {"count-in, spoken",
       [&, plain](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
         Day day = plain(o, seed);
         const auto words = said(settings, "one, two, three, four", day, 110);
         if (!words) return std::nullopt;
         put_before(day, *words);
         return day;
       }},
      {"hands clapping after",
       [plain](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
         Day day = plain(o, seed);
         const Audio hands = applause(Seconds(4), day.audio.rate, Random(seed));
         day.audio = joined(day.audio, levelled(hands, day.audio, 0));
         return day;
       }},
      {"A4 at 430 Hz", tuned_to(430.5)},
      {"A4 at 446 Hz", tuned_to(445.5)},
      {"A4 at 415 Hz", tuned_to(415.3)},
      {"half a semitone low", tuned_to(427.5)},
      {"an octave lower than written",
       [&](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
         TakeOptions high = o;
         high.lowest_midi = open_strings(o.instrument)[1];
         return day_of(transposed(studio, high, -1, seed));
       }},
      {"scale, drill and piece",
       [&](const TakeOptions& o, std::uint64_t seed) -> std::optional<Day> {
         return three_items(studio, o, seed);
       }}};
}

}  // namespace

/// Files as they come: talk, tuning, a count-in, applause, other pitches, several items; everything
/// is played right.
Report life_section(const Settings& settings, const Studio& studio) {
  Report report;
  for (const auto& [name, make] : days(settings, studio)) {
    Tally tally;
    for (int i = 0; i < settings.takes.value_or(settings.count(4, 40)); ++i) {
      static const char* instruments[] = {"cello", "violin", "viola", "cello"};
      TakeOptions options;
      options.instrument = instruments[i % 4];
      options.player = i % 2 == 0 ? good_student() : beginner();
      options.condition = i % 2 == 0 ? Condition::room : Condition::clean;
      options.recorded = i % 3 != 2;
      const auto day = make(options, settings.seed * 1000 + 800 + static_cast<unsigned>(i));
      if (day) judge(*day, name, tally, report);
    }
    figures(name, tally, settings, report);
  }
  return report;
}

}  // namespace endpin::evaluation
