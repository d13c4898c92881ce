#pragma once

#include <string>

#include "endpin/base/result.h"

#include "libav.h"

namespace endpin {

/// A media file that is being read through one open descriptor and nothing else.
class InputFile {
 public:
  /// Reads the header. Errors: empty, not a recording, no sound in it.
  static Result<InputFile> open(int descriptor, const std::string& name);

  InputFile(InputFile&& other) noexcept;
  InputFile& operator=(InputFile&&) = delete;
  ~InputFile();

  AVFormatContext* format() const { return format_; }
  /// The first audio stream.
  AVStream* stream() const { return format_->streams[stream_]; }
  /// The next packet of it; false at the end, or where the rest cannot be read.
  bool read(AVPacket* packet);

 private:
  InputFile() = default;
  Result<void> start(int descriptor, const std::string& name);

  AVFormatContext* format_ = nullptr;
  AVIOContext* io_ = nullptr;
  int descriptor_ = -1;
  int stream_ = -1;
};

}  // namespace endpin
