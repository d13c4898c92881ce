#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace endpin::measures {

/// How long each section took the last time, so that a run of hours can say what is left of it.
/// Kept in a file: a line a section and set of words, "SECONDS\tNAME\tWORDS".
class SectionTimes {
 public:
  /// `words`: what the length depends on. A file that is missing or broken knows nothing.
  SectionTimes(std::filesystem::path file, std::string words);

  std::optional<double> seconds(const std::string& section) const;
  /// Remembers it, in the file as well.
  void remember(const std::string& section, double seconds);
  /// "about 1 h 20 min left, and 2 sections never timed (speed, hour)"; "nothing left" for none.
  std::string left(const std::vector<std::string>& sections) const;

 private:
  using Key = std::pair<std::string, std::string>;
  std::filesystem::path file_;
  std::string words_;
  std::map<Key, double> seconds_;
};

/// "2 h 5 min", "3 min", "40 s".
std::string in_hours(double seconds);

}  // namespace endpin::measures
