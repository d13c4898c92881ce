#pragma once

#include "endpin/hearing/hearing.h"
#include "endpin/timeline/timeline.h"

namespace endpin::desk {

/// A hearing of a score that was mended since, told of `now`: notes are known by id and pass, so
/// that each stands at its new index. Of a note that is another one now nothing could be told; what
/// was found of such notes alone is left out. A hearing of several pieces, or of another one, stays
/// as it is.
Hearing followed(Hearing hearing, const Timeline& now);

}  // namespace endpin::desk
