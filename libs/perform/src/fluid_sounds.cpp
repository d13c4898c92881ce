#include "endpin/perform/fluid_sounds.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

#include <fluidsynth.h>

#include "plucked_string.h"

namespace endpin {
namespace {

// General MIDI level 1 programs, counted from 0.
constexpr int violin = 40;
constexpr int viola = 41;
constexpr int cello = 42;
constexpr int contrabass = 43;
// Chosen: loud enough for a full bow, below the layers of a hard attack.
constexpr int velocity = 100;
constexpr int reset_frames = 6400;  // a multiple of 64: lets a voice that was cut die away
constexpr double silent = 1e-4;
constexpr int lowest_plucked = 24;    // C1, below a bass with an extension
constexpr int highest_plucked = 100;  // E7

int program_of(std::string_view instrument) {
  if (instrument == "violin") return violin;
  if (instrument == "viola") return viola;
  return instrument == "bass" ? contrabass : cello;
}

// A zone may be missing at the edge of a range: the next higher instrument has it.
std::vector<int> programs(int program) {
  switch (program) {
    case contrabass:
      return {contrabass, cello};
    case cello:
      return {cello, viola};
    case viola:
      return {viola, violin};
    default:
      return {violin};
  }
}

bool sounds(const std::vector<float>& samples) {
  return std::any_of(samples.begin(), samples.end(),
                     [](float s) { return std::abs(static_cast<double>(s)) > silent; });
}

void quiet() {
  static const bool done = [] {
    for (int level = 0; level < LAST_LOG_LEVEL; ++level) {
      fluid_set_log_function(level, nullptr, nullptr);
    }
    return true;
  }();
  static_cast<void>(done);
}

}  // namespace

struct FluidSounds::Synth {
  explicit Synth(std::string name) : instrument(std::move(name)), program(program_of(instrument)) {
    quiet();
    settings = new_fluid_settings();
    fluid_settings_setnum(settings, "synth.sample-rate", performance_rate);
    fluid_settings_setnum(settings, "synth.gain", 1.0);
    fluid_settings_setint(settings, "synth.reverb.active", 0);
    fluid_settings_setint(settings, "synth.chorus.active", 0);
    fluid_settings_setint(settings, "synth.dynamic-sample-loading", 1);
    fluid_settings_setint(settings, "synth.polyphony", 16);
    fluid_settings_setint(settings, "synth.lock-memory", 0);
    synth = new_fluid_synth(settings);
    if (synth != nullptr) fluid_synth_set_interp_method(synth, -1, FLUID_INTERP_7THORDER);
  }
  ~Synth() {
    if (synth != nullptr) delete_fluid_synth(synth);
    if (settings != nullptr) delete_fluid_settings(settings);
  }
  Synth(const Synth&) = delete;
  Synth& operator=(const Synth&) = delete;

  // The left channel only: the zones are stereo pairs, and their sum would cancel in places.
  std::vector<float> render(int with, int midi, std::size_t count) {
    fluid_synth_program_select(synth, 0, font, 0, with);
    fluid_synth_noteon(synth, 0, midi, velocity);
    const std::size_t frames = (count + 63) / 64 * 64;
    std::vector<float> left(frames);
    std::vector<float> right(std::max<std::size_t>(frames, reset_frames));
    fluid_synth_write_float(synth, static_cast<int>(frames), left.data(), 0, 1, right.data(), 0, 1);
    left.resize(count);
    fluid_synth_all_sounds_off(synth, 0);
    fluid_synth_write_float(synth, reset_frames, right.data(), 0, 1, right.data(), 0, 1);
    return left;
  }

  std::string instrument;
  int program;
  int font = -1;
  fluid_settings_t* settings = nullptr;
  fluid_synth_t* synth = nullptr;
};

FluidSounds::FluidSounds(std::unique_ptr<Synth> synth) : synth_(std::move(synth)) {}
FluidSounds::~FluidSounds() = default;

Result<std::unique_ptr<FluidSounds>> FluidSounds::open(const std::string& instrument,
                                                       const std::string& sound_font) {
  auto synth = std::make_unique<Synth>(instrument);
  if (synth->synth != nullptr) {
    synth->font = fluid_synth_sfload(synth->synth, sound_font.c_str(), 0);
  }
  if (synth->font < 0) {
    return Unexpected({ErrorKind::machine,
                       sound_font,
                       {},
                       "the sampled strings cannot be loaded from here",
                       "Install the package fluid-soundfont-gm: ./run does."});
  }
  return std::unique_ptr<FluidSounds>(new FluidSounds(std::move(synth)));
}

Result<std::vector<float>> FluidSounds::sound(Technique technique, int midi, std::size_t count) {
  // The font's plucked strings are a section that speaks late and drifts by 15 cents.
  if (technique == Technique::plucked && midi >= lowest_plucked && midi <= highest_plucked) {
    return plucked_string(synth_->instrument, midi, count);
  }
  if (technique == Technique::bowed && midi >= 0 && midi <= 127) {
    for (const int program : programs(synth_->program)) {
      std::vector<float> samples = synth_->render(program, midi, count);
      if (sounds(samples)) return samples;
    }
  }
  return Unexpected({ErrorKind::input,
                     {},
                     {},
                     "no sampled string sounds at MIDI " + std::to_string(midi),
                     "Choose another --instrument, or transpose the part."});
}

}  // namespace endpin
