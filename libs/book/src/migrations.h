#pragma once

#include "database.h"

namespace endpin::book {

/// The newest layout of the tables. Kept in the file's user_version.
int newest_version();
/// Brings a database from its version to `target`, each step all or nothing. Errors: it is newer.
Result<void> migrate(Database& database, int target = newest_version());

}  // namespace endpin::book
