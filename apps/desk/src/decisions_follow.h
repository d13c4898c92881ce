#pragma once

#include <filesystem>
#include <map>
#include <string>

#include "endpin/book/book.h"

namespace endpin::desk {

/// What each finding of a take's folder is by itself: of which score and item, its kind, its bars.
/// Ids are numbers in order of time and mean other findings once the take is heard again.
using FindingMarks = std::map<std::string, std::string>;  ///< by id
FindingMarks finding_marks(const std::filesystem::path& folder);

/// Lets the teacher's word follow its finding from the hearing `before` to the one `after`. A word
/// on what is not found now is kept under the finding's mark: heard as before, it is there again.
Result<void> follow_findings(book::Book& book, book::Id take, const FindingMarks& before,
                             const FindingMarks& after);

}  // namespace endpin::desk
