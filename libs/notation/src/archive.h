#pragma once

#include <string>
#include <string_view>

#include "endpin/base/result.h"

#include "messages.h"

namespace endpin::notation {

/// The score inside a compressed MusicXML file: what META-INF/container.xml names first, or else
/// the first score there is. Errors: a damaged archive, none inside, one that grows too large.
Result<std::string> unpack_mxl(std::string_view bytes, const Messages& messages);

}  // namespace endpin::notation
