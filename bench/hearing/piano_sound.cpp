#include "piano_sound.h"

#include <algorithm>
#include <memory>

#include <fluidsynth.h>

#include "endpin/perform/fluid_sounds.h"

#include "mixing.h"

namespace endpin::evaluation {
namespace {

constexpr int rate = 44100;
constexpr int grand_piano = 0;  // General MIDI level 1, counted from 0

struct Key {
  double at_s;
  int midi;
  int velocity;  ///< 0: let go
};

std::vector<Key> keys_of(const std::vector<PianoNote>& notes) {
  std::vector<Key> keys;
  for (const PianoNote& n : notes) {
    keys.push_back({n.onset.value(), n.midi, static_cast<int>(n.velocity)});
    keys.push_back({n.offset.value(), n.midi, 0});
  }
  std::stable_sort(keys.begin(), keys.end(), [](const Key& a, const Key& b) {
    return a.at_s != b.at_s ? a.at_s < b.at_s : a.velocity < b.velocity;
  });
  return keys;
}

}  // namespace

Audio piano_sound(std::vector<PianoNote> notes, Seconds length) {
  Audio out = silence(length, rate);
  const std::unique_ptr<fluid_settings_t, decltype(&delete_fluid_settings)> settings(
      new_fluid_settings(), &delete_fluid_settings);
  fluid_settings_setnum(settings.get(), "synth.sample-rate", rate);
  fluid_settings_setint(settings.get(), "synth.reverb.active", 0);
  fluid_settings_setint(settings.get(), "synth.chorus.active", 0);
  fluid_settings_setint(settings.get(), "synth.lock-memory", 0);
  const std::unique_ptr<fluid_synth_t, decltype(&delete_fluid_synth)> synth(
      new_fluid_synth(settings.get()), &delete_fluid_synth);
  const int font = fluid_synth_sfload(synth.get(), default_sound_font, 0);
  if (font < 0) return out;
  fluid_synth_program_select(synth.get(), 0, static_cast<unsigned>(font), 0, grand_piano);
  std::vector<float> right(out.samples.size());
  std::size_t done = 0;
  const auto play_until = [&](double seconds) {
    const auto to =
        std::min(out.samples.size(), static_cast<std::size_t>(std::max(0.0, seconds) * rate));
    if (to <= done) return;
    fluid_synth_write_float(synth.get(), static_cast<int>(to - done), out.samples.data(),
                            static_cast<int>(done), 1, right.data(), static_cast<int>(done), 1);
    done = to;
  };
  for (const Key& key : keys_of(notes)) {
    play_until(key.at_s);
    if (done == out.samples.size()) break;
    if (key.velocity > 0) {
      fluid_synth_noteon(synth.get(), 0, key.midi, key.velocity);
    } else {
      fluid_synth_noteoff(synth.get(), 0, key.midi);
    }
  }
  play_until(length.value());
  return out;
}

}  // namespace endpin::evaluation
