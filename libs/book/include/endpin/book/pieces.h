#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "endpin/book/students.h"

namespace endpin::book {

class Upload;

struct Piece {
  Id id = 0;
  std::string title;
  std::string composer;
  std::string rights;
  std::string file_name;    ///< as it was given
  std::string folder_name;  ///< the piece's own folder below `pieces`
  std::string sha256;       ///< of the file
  std::int64_t bytes = 0;
  int part = 0;  ///< index into the score's parts
  std::optional<int> tune;
  std::string instrument;
  std::string step;
  std::optional<double> tempo_bpm;  ///< the teacher's; beats of the timeline's unit
  std::string facts;                ///< what reading it found, JSON of the caller
  std::string mends;                ///< in force over the file, JSON of the caller; empty: none
  std::string added;

  int takes = 0;  ///< added by the book
  int new_takes = 0;
};

/// What a teacher has set over a piece at one moment.
struct Revision {
  int revision = 0;  ///< 0: nothing set
  int newest = 0;    ///< above `revision`: there is something to redo
  std::string text;  ///< JSON of the caller
};

/// What is kept step by step over a piece: markings of its notes, and mends of the notes.
enum class Kept { markings, mends };

class Pieces {
 public:
  virtual ~Pieces() = default;
  /// Keeps the uploaded file and the row; both or neither. The caller fills `piece` but for id,
  /// folder, hash, size and date.
  virtual Result<Id> add(Piece piece, Upload upload) = 0;
  virtual Result<std::optional<Piece>> find(Id id) = 0;
  /// Another file in the place of the piece's own, with the rest of the row as in `piece`; takes
  /// and markings stay. The file before is kept beside it as `earlier`.
  virtual Result<void> replace_file(const Piece& piece, Upload upload) = 0;
  /// The piece made from the same bytes, tune and part.
  virtual Result<std::optional<Piece>> find_same(const std::string& sha256, std::optional<int> tune,
                                                 int part) = 0;
  /// The newest piece made from these bytes.
  virtual Result<std::optional<Id>> find_content(const std::string& sha256) = 0;
  /// Newest first; `text` is part of title, composer or file name, any case.
  virtual Result<std::vector<Piece>> list(const std::string& text) = 0;
  virtual Result<bool> change(const Piece& piece) = 0;
  /// With its takes, lessons and files; false: no such piece.
  virtual Result<bool> remove(Id id) = 0;
  virtual std::filesystem::path file(const Piece& piece) const = 0;

  virtual Result<Revision> revision(Kept what, Id piece) = 0;
  /// A new newest revision; what was undone before is forgotten.
  virtual Result<Revision> set(Kept what, Id piece, const std::string& text) = 0;
  /// One revision back (-1) or forward (+1); at an end nothing changes.
  virtual Result<Revision> step(Kept what, Id piece, int by) = 0;
};

}  // namespace endpin::book
