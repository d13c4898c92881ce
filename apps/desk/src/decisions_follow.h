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

/// Before a take is heard: each of the teacher's words is kept under the mark of its finding, which
/// stays true whatever is written over the folder and wherever the desk's end cuts the hearing off.
/// A word on nothing that was found is kept under a mark that no finding has.
Result<void> keep_under_marks(book::Book& book, book::Id take, const FindingMarks& before);

/// Once it was heard, or could not be: each word goes to the finding of its mark. Those written
/// meanwhile are about what was found `before`. A word on what is not found now stays under its
/// mark: heard as before, it is there again.
Result<void> follow_findings(book::Book& book, book::Id take, const FindingMarks& before,
                             const FindingMarks& after);

}  // namespace endpin::desk
