#pragma once

namespace endpin {

/// Gives up, for the rest of this process, everything that decoding does not need: new privileges,
/// other processes, the network, opening files, executable memory, core dumps; and bounds time and
/// memory. False where the system cannot filter system calls: the bounds hold even then.
bool confine();

}  // namespace endpin
