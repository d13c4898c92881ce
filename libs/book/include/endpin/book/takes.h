#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "endpin/book/students.h"
#include "endpin/book/words.h"

namespace endpin::book {

class Upload;

/// What is to be done with a take, or was.
enum class TakeState {
  unassigned,  ///< waits for its piece
  queued,      ///< waits for a worker
  hearing,     ///< a worker has it
  heard,
  failed,  ///< `failure` says why
};
std::string_view name(TakeState state);
std::optional<TakeState> take_state(std::string_view name);

/// A hearing in brief, as lists and pictures over weeks need it.
struct HeardBrief {
  std::string status;  ///< the contract's word: "ok", "wrong-piece", …
  std::string line;    ///< the one thing to say
  int work = 0;        ///< findings to work on
  int good = 0;
  std::optional<double> bpm;
  std::optional<double> clean_bpm;
  std::optional<double> intonation_cents;  ///< median over the heard notes
  std::optional<double> spread_cents;      ///< half the span of their middle half
  std::optional<double> deviation_ms;      ///< median size of it
  std::optional<double> sounding_ratio;    ///< median
  int bars = 0;
};

/// One bar of a take, for "one bar, everybody".
struct HeardBar {
  std::string bar;
  int pass = 1;
  double from_s = 0;
  double to_s = 0;
  std::optional<double> intonation_cents;
  std::optional<double> deviation_ms;
  std::optional<double> sounding_ratio;
  std::string kinds;  ///< findings to work on that lie in it, their kinds joined by blanks
};

struct Take {
  Id id = 0;
  std::string file_name;
  std::string folder_name;  ///< the take's own folder below `takes`
  std::string sha256;
  std::int64_t bytes = 0;
  std::optional<Id> student;
  std::optional<Id> piece;
  std::optional<Id> lesson;  ///< that it was recorded for, where a take-home page says so
  std::string item;          ///< key of the lesson's item; empty: not said
  std::string sender;
  std::string received;
  std::optional<std::string> recorded;
  std::string delete_after;  ///< a date; the sweep removes the take on the day after it
  std::optional<double> tempo_bpm;
  TakeState state = TakeState::unassigned;
  std::optional<Error> failure;
  std::optional<double> seconds;
  bool picture = false;
  bool seen = false;
  HeardBrief brief;

  std::string student_name;  ///< added by the book
  std::string piece_title;
  /// Heard against what its piece's score was then: it was mended since, or is another part or
  /// file.
  bool earlier_score = false;
};

struct TakeQuery {
  std::optional<Id> student;
  std::optional<Id> group;
  std::optional<Id> piece;
  std::optional<Id> lesson;
  std::optional<TakeState> state;
  bool only_new = false;
  bool earlier_score = false;  ///< those alone that were heard against an earlier score
  std::string text;            ///< part of the file's, student's or piece's name
  std::optional<Id> before;
  int limit = 100;  ///< 1…1000
};

/// One take's bar with whose it is.
struct BarOfTake {
  Id take = 0;
  Id student = 0;
  std::string student_name;
  HeardBar bar;
  std::string when;  ///< recorded, or received
};

class Takes {
 public:
  virtual ~Takes() = default;
  /// Returns once file and row are on the disk. The same bytes twice: the id of the first take, and
  /// `*duplicate` is true.
  virtual Result<Id> add(Take take, Upload upload, bool* duplicate) = 0;
  virtual Result<std::optional<Take>> find(Id id) = 0;
  virtual Result<std::vector<Take>> list(const TakeQuery& query) = 0;
  /// Writes student, piece, lesson, item, sender, recorded, delete_after, tempo and seen, and
  /// nothing else.
  virtual Result<bool> change(const Take& take) = 0;
  virtual Result<bool> remove(Id id) = 0;
  virtual std::filesystem::path folder(const Take& take) const = 0;
  virtual std::filesystem::path original(const Take& take) const = 0;

  /// The oldest queued take, now in state `hearing`; nothing if none waits.
  virtual Result<std::optional<Take>> claim() = 0;
  /// Puts a take with a piece into the queue, whatever its state; one without stays unassigned.
  virtual Result<bool> queue(Id id) = 0;
  /// Every take that a worker had when the program stopped goes back into the queue.
  virtual Result<int> queue_interrupted() = 0;
  virtual Result<int> waiting() = 0;
  /// Only a take in state `hearing` is changed; false: it was taken away meanwhile. From then on
  /// ids of findings are those of `marks`, and each decision is about what it was about.
  virtual Result<bool> heard(Id id, const HeardBrief& brief, const std::vector<HeardBar>& bars,
                             const FindingMarks& marks) = 0;
  virtual Result<bool> failed(Id id, const Error& error) = 0;
  virtual Result<bool> measured(Id id, double seconds, bool picture) = 0;

  /// Each student's newest heard take of a piece, bar by bar in the take's order.
  virtual Result<std::vector<BarOfTake>> newest_bars(Id piece, std::optional<Id> group,
                                                     std::optional<std::string> bar) = 0;
  /// One bar in all of a student's heard takes of a piece, oldest first.
  virtual Result<std::vector<BarOfTake>> bar_of_student(Id student, Id piece,
                                                        const std::string& bar) = 0;
  /// A student's heard takes, oldest first.
  virtual Result<std::vector<Take>> history(Id student, std::optional<Id> piece) = 0;

  /// Whose takes a sender has sent: several where one phone serves brothers and sisters.
  virtual Result<std::vector<Id>> students_of_sender(const std::string& sender) = 0;
  /// Their names.
  virtual Result<std::vector<std::string>> senders() = 0;
  virtual Result<void> remember_sender(const std::string& sender, Id student) = 0;
};

}  // namespace endpin::book
