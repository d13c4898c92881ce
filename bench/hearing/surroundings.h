#pragma once

#include <cstdint>
#include <filesystem>
#include <vector>

#include "endpin/base/audio.h"
#include "endpin/timeline/timeline.h"

#include "ensemble.h"

namespace endpin::evaluation {

/// Right playing and what is known of it, before something befalls the sound.
struct Scene {
  const Timeline& timeline;
  std::vector<PlacedNote> placed;
  std::filesystem::path cache;  ///< for speech
  int voice = 120;              ///< of who plays along
  std::uint64_t seed = 1;
};

/// Something that files as they come have in them.
struct Surrounding {
  const char* name;
  Audio (*put)(Audio audio, const Scene& scene);
};
const std::vector<Surrounding>& surroundings();

}  // namespace endpin::evaluation
