#pragma once

#include <string>
#include <string_view>

namespace endpin::app {

/// RFC 4648, section 4, with padding.
std::string base64(std::string_view bytes);

}  // namespace endpin::app
