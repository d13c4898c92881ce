#include <cmath>

#include <fmt/format.h>

#include "evaluation.h"
#include "mixing.h"
#include "played_right.h"

namespace endpin::evaluation {
namespace {

/// `other`, over and over, `by` semitones higher (and as much faster), under `player`.
Audio beside(Audio player, const Audio& other, double by, double decibels) {
  const double gain = std::pow(10, decibels / 20) * rms(player) / rms(other);
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

}  // namespace

/// Both recordings, played right, each with the other beneath it as a neighbour in the room.
Report beside_section(const Settings& settings) {
  Report report;
  const auto partita = read_recording(settings.recordings / "violin-partita");
  const auto double_ = read_recording(settings.recordings / "violin-double-b-minor");
  if (!partita || !double_) return report;
  for (const double decibels : {-18.0, -12.0, -6.0}) {
    RightTally all;
    for (const double by : {-12.0, -5.0, 0.0, 2.0}) {
      for (const auto& [player, other] :
           {std::pair{&*partita, &*double_}, std::pair{&*double_, &*partita}}) {
        const auto on =
            fmt::format("{}, another at {} dB, {:+} semitones", player->name, decibels, by);
        const auto audio = beside(player->audio, other->audio, by, decibels);
        count_right(on, player->timeline, player->truth, hear_take(player->timeline, audio).hearing,
                    DrawnOver::notes, all, report);
      }
    }
    const auto on = fmt::format("played right, another player at {} dB", decibels);
    add_right_figures(on, all, settings, report, true);
  }
  return report;
}

}  // namespace endpin::evaluation
