#pragma once

#include <string>

namespace endpin {

/// Who has to act on an error. The command line's exit codes follow from it.
enum class ErrorKind {
  input,    ///< the file or value that was given is at fault (exit 1)
  usage,    ///< the call is at fault (exit 2)
  machine,  ///< the machine is: disk full, a part missing, a time limit (exit 3)
};

/// One thing that went wrong, in the four parts that a reader needs.
struct Error {
  ErrorKind kind = ErrorKind::input;
  std::string file;    ///< the file at fault, or empty
  std::string place;   ///< where in it: "412" (a line), "bar 17"; or empty
  std::string what;    ///< what is wrong, a clause without a full stop
  std::string remedy;  ///< what to do, a sentence; or empty

  /// `file:place: what. remedy` on one line; parts that are empty are left out.
  std::string line() const;

  bool operator==(const Error&) const = default;
};

/// The exit code that the command line's contract gives to `kind`: 1, 2 or 3.
int exit_code(ErrorKind kind);

}  // namespace endpin
