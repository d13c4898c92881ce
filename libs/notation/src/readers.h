#pragma once

#include <string>
#include <string_view>

#include "endpin/notation/read.h"

#include "messages.h"

namespace endpin::notation {

Result<Score> read_musicxml(std::string utf8, Messages& messages);

}  // namespace endpin::notation
