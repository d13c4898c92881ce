#pragma once

#include <string>

#include "endpin/base/result.h"

namespace endpin::app {

/// `@font-face` rules for Alegreya and Alegreya Sans with the fonts inside, from the web packages.
Result<std::string> embedded_fonts();

}  // namespace endpin::app
