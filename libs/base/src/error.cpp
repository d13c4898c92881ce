#include "endpin/base/error.h"

namespace endpin {

std::string Error::line() const {
  std::string text = file;
  if (!place.empty()) text += (text.empty() ? "" : ":") + place;
  if (!text.empty()) text += ": ";
  text += what;
  if (!remedy.empty()) text += ". " + remedy;
  for (char& c : text) {
    if (c == '\n' || c == '\r') c = ' ';
  }
  return text;
}

int exit_code(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::input:
      return 1;
    case ErrorKind::usage:
      return 2;
    case ErrorKind::machine:
      return 3;
  }
  return 3;
}

}  // namespace endpin
