#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "endpin/book/students.h"

namespace endpin::book {

class Upload;

/// A tune that is being typed: its text as it stands, and the picture that it is copied from.
struct Draft {
  Id id = 0;
  std::string folder_name;
  std::string text;  ///< ABC
  std::string instrument;
  std::optional<Id> piece;  ///< made from it
  std::string page_name;    ///< file name of the picture; empty: none
  std::string changed;      ///< UTC
};

class Drafts {
 public:
  virtual ~Drafts() = default;
  virtual Result<Id> add(const Draft& draft) = 0;
  virtual Result<std::optional<Draft>> find(Id id) = 0;
  /// The one that a piece was made from.
  virtual Result<std::optional<Draft>> of_piece(Id piece) = 0;
  /// Last changed first.
  virtual Result<std::vector<Draft>> list() = 0;
  /// Writes text, instrument and piece; on the disk when it returns.
  virtual Result<bool> change(const Draft& draft) = 0;
  /// Keeps a picture in the draft's own folder, instead of the one before.
  virtual Result<void> set_page(const Draft& draft, const std::string& name, Upload upload) = 0;
  virtual Result<bool> remove(Id id) = 0;
  virtual std::filesystem::path page(const Draft& draft) const = 0;
};

}  // namespace endpin::book
