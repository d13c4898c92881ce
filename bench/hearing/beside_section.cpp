#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "evaluation.h"

namespace endpin::evaluation {
namespace {

using namespace measures;

double power(const Audio& audio) {
  double sum = 0;
  for (const float x : audio.samples) sum += static_cast<double>(x) * static_cast<double>(x);
  return sum / static_cast<double>(std::max<std::size_t>(1, audio.samples.size()));
}

/// `other`, over and over, `by` semitones higher (and as much faster), under `player`.
Audio beside(Audio player, const Audio& other, double by, double decibels) {
  const double gain = std::pow(10, decibels / 20) * std::sqrt(power(player) / power(other));
  const double step = std::exp2(by / 12) * other.rate / player.rate;
  const auto last = static_cast<double>(other.samples.size() - 1);
  for (std::size_t i = 0; i < player.samples.size(); ++i) {
    const double at = std::fmod(static_cast<double>(i) * step, last);
    const auto before = static_cast<std::size_t>(at);
    const double share = at - static_cast<double>(before);
    const double x = (1 - share) * static_cast<double>(other.samples[before]) +
                     share * static_cast<double>(other.samples[before + 1]);
    player.samples[i] += static_cast<float>(gain * x);
  }
  return player;
}

struct Tally {
  std::vector<Share> accused, heard;
  int findings = 0;
};

Tally judge(const Recording& recording, const Audio& audio, const std::string& on, Report& report) {
  const auto hearing = hear_take(recording.timeline, audio).hearing;
  Tally tally;
  for (const auto& row : recording.truth) {
    bool accused = true, heard = false;
    for (const int i : row.indices) {
      const auto state = hearing.notes[static_cast<std::size_t>(i)].state;
      accused = accused && (state == NoteState::wrong || state == NoteState::missed);
      heard = heard || state == NoteState::heard;
    }
    tally.accused.push_back({accused ? 1.0 : 0.0, 1.0});
    tally.heard.push_back({heard ? 1.0 : 0.0, 1.0});
    if (!accused) continue;
    const int i = row.indices.front();
    report.failures.push_back(fmt::format(
        "ACCUSED {} |{}", on, notes_in_words(recording.timeline, hearing, i - 1, i + 1)));
  }
  for (const auto& f : hearing.findings) {
    if (tone(f.kind) != Tone::work) continue;
    ++tally.findings;
    report.failures.push_back(fmt::format("FALSE {}: {}", on, in_words(f)));
  }
  return tally;
}

}  // namespace

/// Both recordings, played right, each with the other beneath it as a neighbour in the room.
Report beside_section(const Settings& settings) {
  Report report;
  const auto partita = read_recording(settings.recordings / "violin-partita");
  const auto double_ = read_recording(settings.recordings / "violin-double-b-minor");
  if (!partita || !double_) return report;
  for (const double decibels : {-18.0, -12.0, -6.0}) {
    Tally all;
    int takes = 0;
    for (const double by : {-12.0, -5.0, 0.0, 2.0}) {
      for (const auto& [player, other] :
           {std::pair{&*partita, &*double_}, std::pair{&*double_, &*partita}}) {
        const auto on =
            fmt::format("{}, another at {} dB, {:+} semitones", player->name, decibels, by);
        const auto one =
            judge(*player, beside(player->audio, other->audio, by, decibels), on, report);
        all.accused.insert(all.accused.end(), one.accused.begin(), one.accused.end());
        all.heard.insert(all.heard.end(), one.heard.begin(), one.heard.end());
        all.findings += one.findings;
        ++takes;
      }
    }
    const auto on = fmt::format("played right, another player at {} dB", decibels);
    auto accused =
        share_figure(on, "notes called wrong or missed", all.accused, "notes", settings.seed);
    accused.at_most = 0.003;
    report.add(accused);
    report.add(share_figure(on, "notes heard", all.heard, "notes", settings.seed));
    report.add({on, "findings to work on", static_cast<double>(all.findings), "", std::nullopt,
                takes, "takes"});
  }
  return report;
}

}  // namespace endpin::evaluation
