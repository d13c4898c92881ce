#pragma once

#include <optional>

#include "endpin/book/parcel.h"

#include "services.h"

namespace endpin::desk {

/// The recording inside a take-home page's zip, and what its `endpin.take/1` says about it: `take`
/// gets its student (by the page's own mark), lesson, piece, item, tempo and moment, as far as this
/// book knows them and the call did not say otherwise.
Result<book::Upload> unpack_home_take(const Services& services, const book::Upload& zip,
                                      std::int64_t limit, book::Take& take);

}  // namespace endpin::desk
