#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace endpin::listen {

/// Fills `out` with the samples from, from + 1, … of a sound; outside of it with 0. What it reads
/// must outlive it.
using SoundReader = std::function<void(std::int64_t from, std::span<float> out)>;

/// Of samples that are held already.
SoundReader reader_of(std::span<const float> sound);

/// A sound that is costly to read, in blocks of which two are kept: windows that overlap cost one
/// reading.
class BlockReader {
 public:
  /// `fill` gives a whole block, which begins at a multiple of `size`.
  BlockReader(std::size_t size, SoundReader fill);

  void read(std::int64_t from, std::span<float> out);

 private:
  struct Block {
    std::vector<float> samples;
    std::optional<std::int64_t> index;
  };

  const std::vector<float>& block(std::int64_t index);

  std::int64_t size_;
  SoundReader fill_;
  std::array<Block, 2> kept_;
};

}  // namespace endpin::listen
