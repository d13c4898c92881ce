#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"

#include "messages.h"

namespace endpin::notation {

struct AbcLine {
  int number = 0;         ///< from 1, in the file
  std::string_view text;  ///< without comment and trailing space
};

/// One tune: the file header's fields, its own header, its body.
struct AbcTune {
  std::optional<int> number;  ///< X:
  int line = 1;
  std::vector<AbcLine> lines;
};

/// A field line such as "K:G": its letter and what follows; nullopt for anything else.
struct AbcField {
  char letter;
  std::string_view value;
};
std::optional<AbcField> abc_field(std::string_view line);

/// Whether `text` has what only ABC has: an X: field, or a K: field with music after it.
bool looks_like_abc(std::string_view text);

/// The tune with X: `wanted`, or the first. Lines that end in a backslash, and field lines that
/// "+:" goes on with, stay separate. Errors: no such tune, naming those there are.
/// (ABC 2.1, section 2.2)
Result<AbcTune> find_tune(std::string_view text, std::optional<int> wanted,
                          const Messages& messages);

}  // namespace endpin::notation
