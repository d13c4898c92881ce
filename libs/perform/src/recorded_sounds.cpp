#include "endpin/perform/recorded_sounds.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>

#include "endpin/base/pitch.h"

#include "loop.h"
#include "pitch_track.h"
#include "retune.h"

namespace endpin {
namespace {

constexpr double shortest_bowed_s = 1.0;
constexpr double shortest_plucked_s = 0.2;
constexpr std::size_t loop_fade = performance_rate / 20;
constexpr int semitones_searched = 2;

Unexpected refuse(const std::string& name, std::string what, std::string remedy) {
  return Unexpected({ErrorKind::input, name, {}, std::move(what), std::move(remedy)});
}

// What is steady in a recording: its middle half.
std::span<const float> middle(const RecordedSound& recording) {
  const std::span<const float> all = recording.samples;
  return all.subspan(all.size() / 4, std::min<std::size_t>(all.size() / 2, performance_rate));
}

/// The semitone, near the one it is named, at which the wave repeats best.
int heard_pitch(const RecordedSound& recording) {
  int best = recording.midi;
  double most = -1;
  for (int off = -semitones_searched; off <= semitones_searched; ++off) {
    const double alike = repetition(middle(recording), frequency(recording.midi + off));
    // The name is right unless another is clearly better.
    const double credit = off == 0 ? alike + 0.05 : alike;
    if (credit <= most) continue;
    most = credit;
    best = recording.midi + off;
  }
  return best;
}

std::optional<Unexpected> fault(const RecordedSound& recording) {
  const bool bowed = recording.technique == Technique::bowed;
  const double seconds = static_cast<double>(recording.samples.size()) / performance_rate;
  if (seconds < (bowed ? shortest_bowed_s : shortest_plucked_s)) {
    return refuse(recording.name, "this sound is too short",
                  bowed ? "Record at least one second." : "Record at least a fifth of a second.");
  }
  const bool silent = std::all_of(recording.samples.begin(), recording.samples.end(),
                                  [](float s) { return std::abs(s) < 1e-4F; });
  if (silent) return refuse(recording.name, "this sound is silent", "Record it again.");
  const int heard = heard_pitch(recording);
  if (heard != recording.midi) {
    return refuse(recording.name,
                  "it is named " + spell(recording.midi, 0).text() + " and sounds as " +
                      spell(heard, 0).text(),
                  "Correct its name in sounds.json.");
  }
  return std::nullopt;
}

}  // namespace

Result<RecordedSounds> RecordedSounds::make(std::vector<RecordedSound> recordings) {
  if (recordings.empty()) return refuse({}, "there are no sounds", "Name them in sounds.json.");
  std::vector<Looped> sounds;
  for (RecordedSound& recording : recordings) {
    if (auto wrong = fault(recording)) return *std::move(wrong);
    Looped looped{std::move(recording), 0, 0};
    if (looped.recording.technique == Technique::bowed) {
      auto& samples = looped.recording.samples;
      const double period = performance_rate / frequency(looped.recording.midi).value();
      const std::size_t start = samples.size() * 2 / 5;
      const Loop loop =
          make_loop(samples, start, samples.size() * 2 / 5, period, std::min(loop_fade, start));
      looped.loop_start = loop.start;
      looped.loop_end = loop.end;
    }
    sounds.push_back(std::move(looped));
  }
  return RecordedSounds(std::move(sounds));
}

const RecordedSounds::Looped* RecordedSounds::nearest(Technique technique, int midi) const {
  const Looped* best = nullptr;
  for (const Looped& one : sounds_) {
    if (one.recording.technique != technique) continue;
    const int distance = std::abs(one.recording.midi - midi);
    if (distance > farthest_shift) continue;
    if (best == nullptr || distance < std::abs(best->recording.midi - midi)) best = &one;
  }
  return best;
}

Result<std::vector<float>> RecordedSounds::sound(Technique technique, int midi, std::size_t count) {
  const Looped* found = nearest(technique, midi);
  if (found == nullptr) {
    return refuse({}, "no recorded sound is near " + spell(midi, 0).text(),
                  "Add one to the folder of sounds, or choose another --instrument.");
  }
  const std::vector<float>& samples = found->recording.samples;
  const int shift = midi - found->recording.midi;
  const auto needed =
      static_cast<std::size_t>(static_cast<double>(count) * std::exp2(shift / 12.0)) + 64;
  std::vector<float> unrolled;
  unrolled.reserve(needed);
  std::size_t from = 0;
  while (unrolled.size() < needed && from < samples.size()) {
    unrolled.push_back(samples[from]);
    if (++from == found->loop_end) from = found->loop_start;
  }
  unrolled.resize(needed);
  std::vector<float> out = retune(unrolled, PitchTrack{unrolled.size() + 1, {-100.0 * shift}});
  out.resize(count);
  return out;
}

}  // namespace endpin
