#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <string>

#include "endpin/base/result.h"
#include "endpin/perform/fluid_sounds.h"
#include "endpin/perform/perform.h"
#include "endpin/timeline/timeline.h"

namespace endpin::desk {

/// Performs pieces and keeps the sound on the disk by what it was made from, the newest few.
/// Thread-safe: one performance at a time.
class SoundMaker {
 public:
  explicit SoundMaker(std::filesystem::path cache) : cache_(std::move(cache)) {}

  struct Made {
    std::filesystem::path wav;
    std::filesystem::path times;  ///< endpin.times/1
  };
  Result<Made> make(const Timeline& timeline, const PerformOptions& options);
  /// Anything else that sounds: `render` is called unless the sound of `words` is kept already. Its
  /// argument gives the tones of an instrument.
  using Tones = std::function<Result<ToneBank*>(const std::string& instrument)>;
  Result<std::filesystem::path> make(const std::string& words,
                                     const std::function<Result<Audio>(const Tones&)>& render);

 private:
  struct Instrument {
    std::unique_ptr<Sounds> sounds;
    std::unique_ptr<ToneBank> tones;
  };
  Result<ToneBank*> tones(const std::string& instrument);
  Result<void> perform_into(const Timeline& timeline, const PerformOptions& options,
                            const Made& made);
  void trim();

  std::filesystem::path cache_;
  std::mutex mutex_;
  std::map<std::string, Instrument> instruments_;
};

}  // namespace endpin::desk
