#pragma once

#include "fields.h"

namespace endpin::desk {

/// Whether this machine has the parts that hearing, engraving, sound and lessons need.
Json ready_parts();

}  // namespace endpin::desk
