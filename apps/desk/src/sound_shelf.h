#pragma once

#include <list>
#include <memory>
#include <mutex>
#include <string>

#include "endpin/perform/perform.h"

namespace endpin::desk {

/// A performance as the page takes it: the sound as WAV, and when everything in it sounds.
struct PlayedSound {
  std::string wav;
  std::string times;  ///< JSON of the interface
};

/// Performances, made on demand; the last few are kept. Thread-safe; one is made at a time, since a
/// player's tones are shared.
class SoundShelf {
 public:
  SoundShelf();
  ~SoundShelf();
  /// `content` tells timelines apart.
  Result<std::shared_ptr<const PlayedSound>> get(const std::string& content,
                                                 const Timeline& timeline,
                                                 const PerformOptions& options);

 private:
  struct Kept {
    std::string key;
    std::shared_ptr<const PlayedSound> sound;
  };
  struct Player;
  Result<Player*> player(const std::string& instrument);

  std::mutex mutex_;
  std::list<Kept> kept_;  ///< most recently used first
  std::list<std::unique_ptr<Player>> players_;
};

}  // namespace endpin::desk
