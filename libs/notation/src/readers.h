#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "endpin/notation/read.h"

#include "messages.h"

namespace endpin::notation {

Result<Score> read_musicxml(std::string utf8, Messages& messages);
Result<Score> read_abc(std::string_view utf8, std::optional<int> tune, Messages& messages);
Result<Score> read_midi(std::string_view bytes, Messages& messages);

}  // namespace endpin::notation
