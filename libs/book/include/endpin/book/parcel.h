#pragma once

#include <cstdint>
#include <filesystem>
#include <string>

#include "endpin/base/result.h"
#include "endpin/book/book.h"

namespace endpin::book {

/// What a take-home page sends back: one zip of `take.json` and `take.EXTENSION`.
struct Parcel {
  std::string about;       ///< the text of `take.json`, as it came
  std::string sound_name;  ///< "take.wav"
  Upload sound;            ///< finished
};

/// Whether a file begins as a zip does (PKWARE APPNOTE 6.3, 4.3.7); no other sound file does.
bool is_zip(const std::filesystem::path& file);

/// Takes a stranger's zip apart, its sound into `book`'s `incoming`. Errors: no parcel (input), a
/// sound of more than `limit` bytes unpacked (input), the disk (machine).
Result<Parcel> open_parcel(Book& book, const std::filesystem::path& file, std::int64_t limit);

}  // namespace endpin::book
