#include "sample_packs.h"

#include <algorithm>
#include <optional>

#include "endpin/app/process.h"
#include "endpin/base/pitch.h"
#include "endpin/media/decode.h"

namespace endpin::evaluation {
namespace {

/// "As3" is A♯3.
std::optional<int> midi_of(std::string stem) {
  std::replace(stem.begin(), stem.end(), 's', '#');
  const auto pitch = SpelledPitch::parse(stem);
  return pitch ? std::optional(pitch->midi()) : std::nullopt;
}

}  // namespace

bool install_package(const std::filesystem::path& cache, const std::string& package) {
  if (std::filesystem::exists(cache / "node_modules" / package)) return true;
  std::error_code ignored;
  std::filesystem::create_directories(cache, ignored);
  const auto run = app::run_process(
      {"npm", "install", "--no-audit", "--no-fund", "--prefix", cache.string(), package}, "",
      {.wall_time = Seconds(180)});
  return run && run->exit_status == 0;
}

bool install_program(const std::string& program, const std::string& package) {
  const auto there = [&] { return app::run_process({program, "--help"}, "").has_value(); };
  if (there()) return true;
  const auto run =
      app::run_process({"apt-get", "install", "-y", "--no-install-recommends", package}, "",
                       {.wall_time = Seconds(300)});
  return run && run->exit_status == 0 && there();
}

std::vector<simulator::RecordedNote> read_sample_pack(const std::filesystem::path& cache,
                                                      const std::string& package) {
  std::vector<simulator::RecordedNote> notes;
  if (!install_package(cache, package)) return notes;
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(cache / "node_modules" / package)) {
    if (entry.path().extension() == ".mp3") files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  for (const auto& file : files) {
    const auto midi = midi_of(file.stem().string());
    if (!midi) continue;
    auto audio = decode(file.string());
    if (!audio) continue;
    const auto most = static_cast<std::size_t>(4 * audio->rate);
    if (audio->samples.size() > most) audio->samples.resize(most);
    notes.push_back({std::move(audio).value(), *midi});
  }
  return notes;
}

}  // namespace endpin::evaluation
