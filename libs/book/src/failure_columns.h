#pragma once

#include <optional>
#include <string>

#include "endpin/base/result.h"

#include "database.h"

namespace endpin::book {

/// What went wrong stands in four columns, all empty where nothing did.
inline std::optional<Error> read_failure(Row row, int first) {
  if (!row.maybe_text(first + 2)) return std::nullopt;
  return Error{ErrorKind::machine, row.text(first), row.text(first + 1), row.text(first + 2),
               row.text(first + 3)};
}

inline std::optional<std::string> failure_text(const std::optional<Error>& error,
                                               std::string Error::*member) {
  if (!error) return std::nullopt;
  return (*error).*member;
}

}  // namespace endpin::book
