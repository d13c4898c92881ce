#include "backing/sound_reader.h"

#include <algorithm>

namespace endpin::listen {

SoundReader reader_of(std::span<const float> sound) {
  return [sound](std::int64_t from, std::span<float> out) {
    std::fill(out.begin(), out.end(), 0.0F);
    const auto inside = [&](std::int64_t at) {
      return std::clamp<std::int64_t>(at, 0, std::ssize(sound));
    };
    const auto first = inside(from), last = inside(from + std::ssize(out));
    if (first >= last) return;
    std::copy(sound.begin() + first, sound.begin() + last, out.begin() + first - from);
  };
}

BlockReader::BlockReader(std::size_t size, SoundReader fill)
    : size_(static_cast<std::int64_t>(size)), fill_(std::move(fill)) {
  for (Block& b : kept_) b.samples.resize(size);
}

const std::vector<float>& BlockReader::block(std::int64_t index) {
  Block& kept = kept_[static_cast<std::size_t>(index & 1)];
  if (kept.index != index) fill_(index * size_, kept.samples);
  kept.index = index;
  return kept.samples;
}

void BlockReader::read(std::int64_t from, std::span<float> out) {
  for (std::int64_t i = 0; i < std::ssize(out);) {
    const std::int64_t at = from + i;
    const std::int64_t index = at >= 0 ? at / size_ : (at + 1) / size_ - 1;
    const std::int64_t within = at - index * size_;
    const std::int64_t count = std::min(std::ssize(out) - i, size_ - within);
    std::copy_n(block(index).data() + within, count, out.data() + i);
    i += count;
  }
}

}  // namespace endpin::listen
