#pragma once

#include <filesystem>

#include "endpin/book/book.h"

namespace endpin::desk {

/// What each finding that a take's folder holds is by itself: of which score and item, its kind,
/// its bars, the how-manieth of these.
book::FindingMarks finding_marks(const std::filesystem::path& folder);

/// Before a take that an earlier version heard is heard again, and its folder written over: the
/// book comes to know what its findings are.
Result<void> know_findings(book::Book& book, book::Id take, const std::filesystem::path& folder);

}  // namespace endpin::desk
