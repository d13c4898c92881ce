#include "codec.h"

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <unistd.h>

#include "endpin/app/process.h"
#include "endpin/media/decode.h"

namespace endpin::evaluation {
namespace {

[[noreturn]] void give_up(const std::string& why) {
  fmt::print(stderr, "coding: {}. Install ffmpeg.\n", why);
  std::exit(3);
}

struct Coding {
  const char* ending;
  std::vector<std::string> words;  ///< for ffmpeg
};

Coding coding_of(Codec codec) {
  switch (codec) {
    case Codec::opus_24k:
      return {"opus", {"-c:a", "libopus", "-b:a", "24k"}};
    case Codec::aac_64k:
      return {"m4a", {"-c:a", "aac", "-b:a", "64k"}};
    case Codec::mp3_32k_11khz:
      return {"mp3", {"-ar", "11025", "-c:a", "libmp3lame", "-b:a", "32k"}};
  }
  return {};
}

}  // namespace

Audio through_codec(const Audio& audio, Codec codec) {
  const Coding coding = coding_of(codec);
  const auto file = std::filesystem::temp_directory_path() /
                    fmt::format("hearing-bench-{}.{}", getpid(), coding.ending);
  std::vector<std::string> command{"ffmpeg", "-v",    "error", "-y",
                                   "-f",     "f32le", "-ar",   fmt::format("{}", audio.rate),
                                   "-ac",    "1",     "-i",    "pipe:0"};
  command.insert(command.end(), coding.words.begin(), coding.words.end());
  command.push_back(file.string());
  const std::string_view bytes(reinterpret_cast<const char*>(audio.samples.data()),
                               audio.samples.size() * sizeof(float));
  const auto run = app::run_process(command, bytes);
  if (!run || run->exit_status != 0) give_up(run ? run->errors : run.error().line());
  auto decoded = decode(file.string());
  std::filesystem::remove(file);
  if (!decoded) give_up(decoded.error().line());
  return std::move(decoded).value();
}

}  // namespace endpin::evaluation
