# cmake -DSOURCE=… -DINTO=… -P commit.cmake: writes a source file that knows the commit which is built
# now, "-dirty" behind it where the tree differs from it. Only touches the file if that changed.
execute_process(COMMAND git -C "${SOURCE}" describe --always --dirty --abbrev=7
  OUTPUT_VARIABLE commit OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET RESULT_VARIABLE failed)
if(failed)
  set(commit "unknown")
endif()
file(CONFIGURE OUTPUT "${INTO}" CONTENT [[
#include "commit.h"

namespace endpin::evaluation {

const char* built_from() { return "@commit@"; }

}  // namespace endpin::evaluation
]] @ONLY)
