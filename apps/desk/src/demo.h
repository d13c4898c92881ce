#pragma once

#include <filesystem>

#include "endpin/book/book.h"

namespace endpin::desk {

/// Copies the demo of `folder` (its `students.json`, pieces and takes) into a book that holds
/// nothing yet; a book with anything in it is left as it is.
Result<void> fill_with_demo(book::Book& book, const std::filesystem::path& folder);

}  // namespace endpin::desk
