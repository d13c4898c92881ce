#pragma once

#include "shelf.h"

namespace endpin::book {

/// The database as it is at one moment, and every file that it names, in one zip.
Result<void> write_backup(Shelf& shelf, const std::filesystem::path& file);

}  // namespace endpin::book
