#pragma once

#include <optional>

#include "endpin/listen/listen.h"

namespace endpin::listen {

/// Where the backing begins in the recording: the lag at which their beginnings of sound agree
/// best, near `backing.at` where that is given. Empty: it is not to be heard in it (headphones).
/// O(n log n).
std::optional<Seconds> place_backing(AudioView recording, const Backing& backing);

}  // namespace endpin::listen
