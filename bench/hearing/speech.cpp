#include "speech.h"

#include "endpin/app/process.h"
#include "endpin/media/decode.h"

#include "sample_packs.h"

namespace endpin::evaluation {

std::optional<Audio> speech(const std::filesystem::path& cache, const std::string& words,
                            int words_a_minute) {
  if (!install_program("espeak-ng", "espeak-ng")) return std::nullopt;
  const auto file = cache / "speech.wav";
  const auto run = app::run_process(
      {"espeak-ng", "-s", std::to_string(words_a_minute), "-w", file.string(), words}, "");
  if (!run || run->exit_status != 0) return std::nullopt;
  auto audio = decode(file.string());
  if (!audio) return std::nullopt;
  return std::move(audio).value();
}

}  // namespace endpin::evaluation
