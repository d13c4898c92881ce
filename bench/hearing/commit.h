#pragma once

namespace endpin::evaluation {

/// The commit that this program was built from, "-dirty" behind it where the tree held more or less
/// than that; "unknown" outside of a checkout. Fixed when it was built: the tree may have moved on.
const char* built_from();

}  // namespace endpin::evaluation
