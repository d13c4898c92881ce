#pragma once

#include <memory>
#include <string>

#include "endpin/base/result.h"
#include "endpin/perform/sounds.h"

namespace endpin::app {

/// The sampled strings that play `instrument`: the folder of recorded notes (docs/sounds.md) or the
/// .sf2 sound font that `place` names; where it is empty, what the environment variable
/// ENDPIN_SOUNDS names; else the General MIDI font that setup installs. A folder may hold one
/// folder for each instrument, by its name. Errors name the file and what to do.
Result<std::unique_ptr<Sounds>> open_sounds(const std::string& instrument,
                                            const std::string& place = {});

}  // namespace endpin::app
