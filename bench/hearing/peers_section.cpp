#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <sstream>

#include <fmt/format.h>
#include <unistd.h>

#include "endpin/app/files.h"
#include "endpin/app/process.h"
#include "endpin/base/pitch.h"
#include "endpin/media/encode.h"

#include "evaluation.h"
#include "sample_packs.h"

namespace endpin::evaluation {
namespace {

using namespace measures;
using namespace simulator;

/// Pitch is no part of this comparison: aubio's onsets have none.
SoundedNote onset_alone(double seconds) { return {Seconds(seconds), Seconds(seconds), 60}; }

std::vector<double> numbers(const std::string& text) {
  std::istringstream in(text);
  std::vector<double> out;
  for (double value = 0; in >> value;) out.push_back(value);
  return out;
}

std::optional<std::vector<SoundedNote>> aubio_onsets(const Audio& audio) {
  const auto bytes = encode(audio, AudioFormat::wav);
  if (!bytes) return std::nullopt;
  const auto file =
      std::filesystem::temp_directory_path() / fmt::format("hearing-bench-{}.wav", getpid());
  if (!app::write_file_atomically(file, *bytes)) return std::nullopt;
  const auto run = app::run_process({"aubioonset", "-i", file.string()}, "");
  std::filesystem::remove(file);
  if (!run || run->exit_status != 0) return std::nullopt;
  std::vector<SoundedNote> onsets;
  for (const double t : numbers(run->output)) {
    if (t > 0) onsets.push_back(onset_alone(t));
  }
  return onsets;
}

/// Seconds and hertz, by frames.
std::optional<std::vector<std::pair<double, double>>> pyin(const Audio& audio,
                                                           const std::filesystem::path& cache) {
  if (audio.rate != 44100) return std::nullopt;
  const std::string_view bytes(reinterpret_cast<const char*>(audio.samples.data()),
                               audio.samples.size() * sizeof(float));
  const auto run = app::run_process(
      {"node", std::string(ENDPIN_SOURCE_DIR) + "/bench/hearing/pyin.cjs", cache.string()}, bytes,
      {.wall_time = Seconds(1800), .address_space_bytes = {}});
  if (!run || run->exit_status != 0) return std::nullopt;
  const auto values = numbers(run->output);
  std::vector<std::pair<double, double>> frames;
  for (std::size_t i = 0; i + 1 < values.size(); i += 2) {
    frames.emplace_back(values[i], values[i + 1]);
  }
  return frames;
}

struct PitchTally {
  std::vector<double> cents;
  std::vector<Share> octaves;
};

/// The median of the frames in the middle of each true note, as a peer without a score can give it.
void count_pyin(const Take& take, const std::vector<std::pair<double, double>>& frames,
                PitchTally& tally) {
  const auto truth = true_notes(take.performance);
  Share octaves;
  for (const auto& note : truth) {
    const double length = (note.offset - note.onset).value();
    std::vector<double> inside;
    for (const auto& [t, hz] : frames) {
      if (t > note.onset.value() + 0.25 * length && t < note.offset.value() - 0.2 * length &&
          hz > 0) {
        inside.push_back(69 + 12 * std::log2(hz / 440));
      }
    }
    octaves.cases += 1;
    if (inside.empty()) continue;
    const double off = median(inside) - note.midi;
    octaves.hits += std::abs(std::abs(off) - 12) < 1 ? 1 : 0;
    if (std::abs(off) < 0.5) tally.cents.push_back(100 * std::abs(off));
  }
  tally.octaves.push_back(octaves);
}

void count_ours(const Take& take, const Hearing& hearing, PitchTally& tally) {
  const double shift =
      interval(take.performance.a4, hearing.reference.a4.value_or(standard_a4)).value();
  Share octaves;
  for (std::size_t i = 0; i < hearing.notes.size(); ++i) {
    const auto& truth = take.performance.truth[i];
    if (truth.state != NoteState::heard) continue;
    octaves.cases += 1;
    const auto& heard = hearing.notes[i].heard;
    if (!heard) continue;
    octaves.hits += std::abs(heard->midi - hearing.notes[i].midi) == 12 ? 1 : 0;
    if (!heard->intonation) continue;
    const double truly = take.performance.notes[*truth.played].cents;
    tally.cents.push_back(std::abs(heard->intonation->value() + shift - truly));
  }
  tally.octaves.push_back(octaves);
}

void pitch_figures(const std::string& on, const std::string& who, const PitchTally& tally,
                   const Settings& settings, Report& report) {
  if (tally.cents.empty()) return;
  report.add({on, who + ": median error of pitch", median(tally.cents), "cents",
              median_interval(tally.cents, settings.seed), static_cast<int>(tally.cents.size()),
              "notes"});
  report.add(share_figure(on, who + ": octave errors", tally.octaves, "notes", settings.seed));
}

}  // namespace

/// The same sounds through peers that know no score: aubio's onset detector and pYIN.
Report peers_section(const Settings& settings, const Studio& studio) {
  Report report;
  if (!install_program("aubioonset", "aubio-tools")) report.failures.push_back("no aubio here");
  const bool has_pyin = install_package(settings.cache, "essentia.js");
  for (const auto condition : {Condition::clean, Condition::room, Condition::hall}) {
    std::vector<Share> ours;
    std::vector<Share> aubio;
    PitchTally our_pitch;
    PitchTally their_pitch;
    for (int i = 0; i < settings.count(4, 20); ++i) {
      static const char* instruments[] = {"cello", "violin", "cello", "viola"};
      TakeOptions options;
      options.instrument = instruments[i % 4];
      options.player = good_student();
      options.condition = condition;
      options.recorded = i % 2 == 0;
      const auto take = studio.take(options, settings.seed * 1000 + static_cast<unsigned>(i));
      std::vector<SoundedNote> truth;
      for (const auto& n : true_notes(take.performance))
        truth.push_back(onset_alone(n.onset.value()));
      const auto hearing = hear_take(take.timeline, take.audio).hearing;
      std::vector<SoundedNote> found;
      for (const auto& n : heard_notes(hearing)) found.push_back(onset_alone(n.onset.value()));
      ours.push_back(f_share(truth, found));
      count_ours(take, hearing, our_pitch);
      if (const auto onsets = aubio_onsets(take.audio)) aubio.push_back(f_share(truth, *onsets));
      if (!has_pyin) continue;
      if (const auto frames = pyin(take.audio, settings.cache)) {
        count_pyin(take, *frames, their_pitch);
      } else {
        report.failures.push_back("pYIN gave nothing for " + take.name);
      }
    }
    const auto on = fmt::format("beside peers, {}", name(condition));
    report.add(share_figure(on, "ours: onset F at 50 ms", ours, "onsets×2", settings.seed));
    if (!aubio.empty()) {
      report.add(share_figure(on, "aubio: onset F at 50 ms", aubio, "onsets×2", settings.seed));
    }
    pitch_figures(on, "ours", our_pitch, settings, report);
    pitch_figures(on, "pYIN", their_pitch, settings, report);
  }
  return report;
}

}  // namespace endpin::evaluation
