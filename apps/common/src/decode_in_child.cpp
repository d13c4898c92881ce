#include "endpin/app/decode_in_child.h"

#include <algorithm>
#include <array>
#include <csignal>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <string_view>
#include <vector>

#include "endpin/app/process.h"

namespace endpin::app {
namespace {

constexpr std::size_t header_bytes = 16;
constexpr Seconds wall_time{120};

/// Puts the child's pieces of bytes together: the header, then samples.
class Receiver {
 public:
  explicit Receiver(const DecodeLimits& limits) : limits_(limits) {}

  void take(std::string_view bytes) {
    const std::size_t missing = header_bytes - header_size_;
    const std::size_t of_header = std::min(missing, bytes.size());
    std::copy_n(bytes.begin(), of_header, header_.begin() + static_cast<long>(header_size_));
    header_size_ += of_header;
    if (missing > 0 && header_size_ == header_bytes) read_header();
    take_samples(bytes.substr(of_header));
  }

  bool complete() const { return header_size_ == header_bytes && valid_ && rest_size_ == 0; }
  Audio& audio() { return audio_; }

 private:
  void read_header() {
    std::array<std::uint32_t, 2> numbers{};
    std::memcpy(numbers.data(), header_.data() + 8, sizeof numbers);
    valid_ = std::string_view(header_.data(), 8) == "endpinA1" && numbers[0] > 0 &&
             numbers[0] <= 1'000'000;
    if (!valid_) return;
    audio_.rate = static_cast<int>(numbers[0]);
    const double most = limits_.duration.value() * audio_.rate;
    audio_.samples.reserve(static_cast<std::size_t>(std::min<double>(numbers[1], most)) + 8192);
  }

  // A piece may end inside a sample: its bytes wait in rest_.
  void take_samples(std::string_view bytes) {
    while (rest_size_ > 0 && rest_size_ < sizeof(float) && !bytes.empty()) {
      rest_[rest_size_++] = bytes.front();
      bytes.remove_prefix(1);
    }
    if (rest_size_ == sizeof(float)) {
      append(std::string_view(rest_.data(), sizeof(float)));
      rest_size_ = 0;
    }
    const std::size_t whole = bytes.size() / sizeof(float) * sizeof(float);
    append(bytes.substr(0, whole));
    bytes.remove_prefix(whole);
    std::copy(bytes.begin(), bytes.end(), rest_.begin());
    if (!bytes.empty()) rest_size_ = bytes.size();
  }

  void append(std::string_view bytes) {
    const std::size_t before = audio_.samples.size();
    audio_.samples.resize(before + bytes.size() / sizeof(float));
    if (!bytes.empty()) std::memcpy(audio_.samples.data() + before, bytes.data(), bytes.size());
  }

  const DecodeLimits& limits_;
  Audio audio_;
  std::array<char, header_bytes> header_{};
  std::size_t header_size_ = 0;
  std::array<char, sizeof(float)> rest_{};
  std::size_t rest_size_ = 0;
  bool valid_ = false;
};

Error input_error(const std::filesystem::path& path, std::string what, std::string remedy) {
  return {ErrorKind::input, path.string(), {}, std::move(what), std::move(remedy)};
}

// The child's line, "what<tab>remedy"; its notes have no tab.
Error error_of(const std::filesystem::path& path, const ProcessResult& result) {
  if (result.timed_out || result.exit_status == 128 + SIGXCPU) {
    return input_error(path, "decoding it takes too long, so it was stopped",
                       "Export it again as WAV or M4A.");
  }
  const std::size_t tab = result.errors.rfind('\t');
  if (result.exit_status != 1 || tab == std::string::npos) {
    return input_error(path, "the decoder broke down on this file, so the file is damaged",
                       "Export it again as WAV or M4A.");
  }
  const std::size_t before = result.errors.rfind('\n', tab);
  const std::size_t from = before == std::string::npos ? 0 : before + 1;
  const std::size_t to = result.errors.find('\n', tab);
  return input_error(path, result.errors.substr(from, tab - from),
                     result.errors.substr(tab + 1, to == std::string::npos ? to : to - tab - 1));
}

}  // namespace

std::string decoder_path() {
  if (const char* given = std::getenv("ENDPIN_DECODE")) return given;
  std::error_code ignored;
  const auto here = std::filesystem::read_symlink("/proc/self/exe", ignored).parent_path();
  for (const char* place : {"endpin-decode", "../decode/endpin-decode",
                            "../libexec/endpin/endpin-decode", "../../apps/decode/endpin-decode"}) {
    if (std::filesystem::exists(here / place, ignored)) return (here / place).string();
  }
  return "endpin-decode";
}

Result<Audio> decode_in_child(const std::filesystem::path& path, const DecodeLimits& limits) {
  const std::vector<std::string> command{decoder_path(),
                                         path.string(),
                                         std::to_string(limits.rate),
                                         std::to_string(limits.highest_rate),
                                         std::to_string(limits.duration.value()),
                                         std::to_string(limits.file_bytes)};
  ProcessLimits bounds;
  bounds.wall_time = wall_time;
  bounds.output_bytes = UINT64_MAX;  // the child counts seconds
  Receiver receiver(limits);
  auto done =
      run_process(command, {}, bounds, [&](std::string_view bytes) { receiver.take(bytes); });
  if (!done) return Unexpected(std::move(done).error());
  if (done->exit_status != 0 || done->timed_out) return Unexpected(error_of(path, *done));
  if (!receiver.complete()) {
    return Unexpected(input_error(path, "decoding it broke off", "Export it again as WAV or M4A."));
  }
  return std::move(receiver.audio());
}

}  // namespace endpin::app
