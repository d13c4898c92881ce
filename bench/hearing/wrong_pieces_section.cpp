#include <fmt/format.h>

#include "endpin/simulator/channel.h"

#include "evaluation.h"
#include "speech.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

/// "18 heard, 3 uncertain, mean p 0.8"
std::string states_in_words(const Hearing& hearing) {
  int heard = 0;
  int uncertain = 0;
  int missed = 0;
  double sum = 0;
  for (const auto& n : hearing.notes) {
    heard += n.state == NoteState::heard ? 1 : 0;
    uncertain += n.state == NoteState::uncertain ? 1 : 0;
    missed += n.state == NoteState::missed || n.state == NoteState::wrong ? 1 : 0;
    if (n.state == NoteState::heard) sum += n.heard->confidence;
  }
  return fmt::format("{} heard (mean p {:.2f}), {} uncertain, {} missed or wrong, {} restarts",
                     heard, heard > 0 ? sum / heard : 0, uncertain, missed,
                     hearing.restarts.size());
}

bool refused(const Hearing& hearing) { return hearing.status != HearingStatus::ok; }

TakeOptions options_of(int i) {
  static const char* instruments[] = {"cello", "violin", "viola", "bass"};
  TakeOptions options;
  options.instrument = instruments[i % 4];
  options.player = i % 2 == 0 ? good_student() : beginner();
  options.condition = i % 3 == 0 ? Condition::phone_20 : Condition::room;
  options.recorded = i % 2 == 0;
  return options;
}

void judge_sound(const std::string& what, const Audio& audio, const Studio& studio,
                 const Settings& settings, Report& report) {
  std::vector<Share> shares;
  for (int i = 0; i < settings.count(4, 20); ++i) {
    const auto options = options_of(i);
    const auto tune = studio.tune(options, settings.seed * 1000 + 900 + static_cast<unsigned>(i));
    const auto heard = hear_take(tune, audio);
    shares.push_back({refused(heard.hearing) ? 1.0 : 0.0, 1.0});
    if (!refused(heard.hearing)) report.failures.push_back(what + " taken for " + tune.instrument);
  }
  auto figure = share_figure("wrong sound", what + " refused", shares, "scores", settings.seed);
  figure.at_least = 0.99;
  report.add(figure);
}

void other_sounds(const Settings& settings, const Studio& studio, Report& report) {
  judge_sound("silence", Audio{44100, std::vector<float>(20 * 44100)}, studio, settings, report);
  Audio noise{44100, std::vector<float>(20 * 44100)};
  noise.samples[0] = 1;
  add_noise(noise, Decibels(0), settings.seed);
  Random random(settings.seed);
  for (auto& s : noise.samples) s = static_cast<float>(0.05 * random.normal());
  judge_sound("noise", noise, studio, settings, report);
  auto two_seconds = studio.take(options_of(0), settings.seed).audio;
  two_seconds.samples.resize(static_cast<std::size_t>(2 * two_seconds.rate));
  judge_sound("two seconds", two_seconds, studio, settings, report);
  if (const auto talk = speech(settings.cache, rehearsal_words)) {
    judge_sound("speech", *talk, studio, settings, report);
  } else {
    report.failures.push_back("speech was not tried: install espeak-ng");
  }
}

}  // namespace

Report wrong_pieces_section(const Settings& settings, const Studio& studio) {
  Report report;
  std::vector<Share> wrong;
  std::vector<Share> right;
  for (int i = 0; i < settings.count(30, 200); ++i) {
    const auto options = options_of(i);
    const auto seed = settings.seed * 10000 + static_cast<unsigned>(i);
    const auto take = studio.take(options, seed);
    auto other = studio.tune(options, seed + 5000);
    for (unsigned k = 1; i % 2 == 0 && other.fifths != take.timeline.fifths; ++k) {
      other = studio.tune(options, seed + 5000 + 10000 * k);  // every other one in the same key
    }
    const auto heard = hear_take(other, take.audio);
    wrong.push_back({refused(heard.hearing) ? 1.0 : 0.0, 1.0});
    if (!refused(heard.hearing)) {
      report.failures.push_back(fmt::format(
          "WRONG PIECE taken: {} of {} notes, fifths {} and {}: {}", take.name, other.notes.size(),
          take.timeline.fifths, other.fifths, states_in_words(heard.hearing)));
    }
    const auto own = hear_take(take.timeline, take.audio);
    right.push_back({own.hearing.status == HearingStatus::ok ? 0.0 : 1.0, 1.0});
    if (own.hearing.status != HearingStatus::ok) {
      report.failures.push_back(
          fmt::format("RIGHT PIECE refused: {} {}", take.name, endpin::name(own.hearing.status)));
    }
  }
  auto refusals = share_figure("wrong pieces", "refused", wrong, "takes", settings.seed);
  refusals.at_least = 0.99;
  report.add(refusals);
  auto errors = share_figure("wrong pieces", "right pieces refused", right, "takes", settings.seed);
  errors.at_most = 0.01;
  report.add(errors);
  other_sounds(settings, studio, report);
  return report;
}

}  // namespace endpin::evaluation
