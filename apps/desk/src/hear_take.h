#pragma once

#include <filesystem>
#include <functional>

#include "endpin/app/score_input.h"
#include "endpin/book/book.h"
#include "endpin/hearing/hearing.h"
#include "endpin/words/language.h"

#include "take_items.h"

namespace endpin::desk {

/// Thrown through the hearing by its progress, when it is to stop.
struct Stopped {};

/// What hearing one take needs, and what it says on its way.
struct HearJob {
  const book::Take& take;
  std::filesystem::path folder;    ///< the take's own
  std::filesystem::path original;  ///< the recording as it came
  const app::ScoreInput& score;
  const std::vector<TakeItem>& items;  ///< that it may hold, the piece first
  std::string step;
  Language language = Language::en_us;   ///< of the one thing to say in lists
  std::optional<double> a4;              ///< in hertz; empty: as heard
  std::function<void(double)> progress;  ///< 0…1; may throw Stopped
  std::function<void(double seconds)> decoded;
};

/// Decodes in a child, keeps the sound as `audio.wav`, hears, and keeps what was heard of each item
/// (see `keep_items`); the piece is the first.
Result<std::vector<ItemHearing>> hear_take(const HearJob& job);

/// The recording as a WAV in the take's folder, made if it is not there.
Result<std::filesystem::path> playable(const std::filesystem::path& original,
                                       const std::filesystem::path& folder);

/// Whether the file holds a moving picture, as far as its first and last bytes tell.
bool has_picture(const std::filesystem::path& file);

/// What lists and pictures over weeks keep of a hearing: figures and bars are the piece's.
book::HeardBrief brief(const std::vector<ItemHearing>& heard);
std::vector<book::HeardBar> bars(const Hearing& hearing);

}  // namespace endpin::desk
