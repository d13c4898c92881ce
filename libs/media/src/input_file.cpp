#include "input_file.h"

#include <cerrno>
#include <utility>

#include <unistd.h>

namespace endpin {
namespace {

constexpr int buffer_bytes = 64 * 1024;

Unexpected refuse(const std::string& name, std::string what, std::string remedy) {
  return Unexpected({ErrorKind::input, name, {}, std::move(what), std::move(remedy)});
}

int descriptor_in(void* opaque) {
  return static_cast<int>(reinterpret_cast<std::intptr_t>(opaque));
}

int read_bytes(void* opaque, std::uint8_t* buffer, int size) {
  const ssize_t got = ::read(descriptor_in(opaque), buffer, static_cast<std::size_t>(size));
  if (got < 0) return AVERROR(errno);
  return got == 0 ? AVERROR_EOF : static_cast<int>(got);
}

std::int64_t seek_to(void* opaque, std::int64_t offset, int whence) {
  const int descriptor = descriptor_in(opaque);
  if ((whence & ~AVSEEK_FORCE) == AVSEEK_SIZE) {
    const off_t here = ::lseek(descriptor, 0, SEEK_CUR);
    const off_t size = ::lseek(descriptor, 0, SEEK_END);
    ::lseek(descriptor, here, SEEK_SET);
    return size < 0 ? AVERROR(errno) : size;
  }
  const off_t at = ::lseek(descriptor, offset, whence & ~AVSEEK_FORCE);
  return at < 0 ? AVERROR(errno) : at;
}

// Playlists and references name other files: none is opened.
int open_nothing(AVFormatContext*, AVIOContext**, const char*, int, AVDictionary**) {
  return AVERROR(EPERM);
}

}  // namespace

void libav::quiet() {
  static const bool done = (av_log_set_level(AV_LOG_QUIET), true);
  static_cast<void>(done);
}

Result<InputFile> InputFile::open(int descriptor, const std::string& name) {
  libav::quiet();
  const off_t size = ::lseek(descriptor, 0, SEEK_END);
  ::lseek(descriptor, 0, SEEK_SET);
  if (size == 0) return refuse(name, "the file is empty", "Record or export it again.");
  InputFile file;
  if (const Result<void> started = file.start(descriptor, name); !started) {
    return Unexpected(started.error());
  }
  return file;
}

Result<void> InputFile::start(int descriptor, const std::string& name) {
  descriptor_ = descriptor;
  auto* buffer = static_cast<unsigned char*>(av_malloc(buffer_bytes));
  auto* opaque = reinterpret_cast<void*>(static_cast<std::intptr_t>(descriptor));
  io_ = avio_alloc_context(buffer, buffer_bytes, 0, opaque, read_bytes, nullptr, seek_to);
  format_ = avformat_alloc_context();
  format_->pb = io_;
  format_->io_open = open_nothing;
  format_->flags |= AVFMT_FLAG_CUSTOM_IO;
  const char* no_recording = "this is not a recording that can be read, or it is damaged";
  const char* remedy = "Give a sound or video file, such as WAV, M4A, MP3, Opus, FLAC or MP4.";
  if (avformat_open_input(&format_, nullptr, nullptr, nullptr) < 0) {
    return refuse(name, no_recording, remedy);
  }
  if (avformat_find_stream_info(format_, nullptr) < 0) return refuse(name, no_recording, remedy);
  stream_ = av_find_best_stream(format_, AVMEDIA_TYPE_AUDIO, -1, -1, nullptr, 0);
  if (stream_ < 0) {
    return refuse(name, "there is no sound in this file",
                  "Record it again with the microphone on.");
  }
  for (unsigned i = 0; i < format_->nb_streams; ++i) {
    if (static_cast<int>(i) != stream_) format_->streams[i]->discard = AVDISCARD_ALL;
  }
  return {};
}

InputFile::InputFile(InputFile&& other) noexcept
    : format_(std::exchange(other.format_, nullptr)),
      io_(std::exchange(other.io_, nullptr)),
      descriptor_(other.descriptor_),
      stream_(other.stream_) {}

InputFile::~InputFile() {
  avformat_close_input(&format_);
  if (io_ != nullptr) av_freep(&io_->buffer);
  avio_context_free(&io_);
}

bool InputFile::read(AVPacket* packet) {
  while (av_read_frame(format_, packet) >= 0) {
    if (packet->stream_index == stream_) return true;
    av_packet_unref(packet);
  }
  return false;
}

}  // namespace endpin
