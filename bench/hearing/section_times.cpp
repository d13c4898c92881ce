#include "section_times.h"

#include <cmath>
#include <fstream>
#include <sstream>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace endpin::measures {

SectionTimes::SectionTimes(std::filesystem::path file, std::string words)
    : file_(std::move(file)), words_(std::move(words)) {
  std::ifstream in(file_);
  for (std::string line; std::getline(in, line);) {
    std::istringstream fields(line);
    double seconds = 0;
    std::string section, of_words;
    if (!(fields >> seconds) || fields.get() != '\t' || !std::getline(fields, section, '\t'))
      continue;
    std::getline(fields, of_words);
    seconds_[{section, of_words}] = seconds;
  }
}

std::optional<double> SectionTimes::seconds(const std::string& section) const {
  const auto found = seconds_.find({section, words_});
  return found == seconds_.end() ? std::nullopt : std::optional(found->second);
}

void SectionTimes::remember(const std::string& section, double seconds) {
  seconds_[{section, words_}] = seconds;
  std::error_code ignored;  // where it cannot be kept, nothing is known the next time
  std::filesystem::create_directories(file_.parent_path(), ignored);
  std::ofstream out(file_);
  for (const auto& [key, s] : seconds_) {
    out << fmt::format("{:.0f}\t{}\t{}\n", s, key.first, key.second);
  }
}

std::string SectionTimes::left(const std::vector<std::string>& sections) const {
  if (sections.empty()) return "nothing left";
  double sum = 0;
  std::vector<std::string> never;
  for (const auto& section : sections) {
    if (const auto s = seconds(section)) {
      sum += *s;
    } else {
      never.push_back(section);
    }
  }
  std::string out;
  if (never.size() < sections.size()) out = fmt::format("about {} left", in_hours(sum));
  if (never.empty()) return out;
  return fmt::format("{}{}{} section{} never timed ({})", out, out.empty() ? "" : ", and ",
                     never.size(), never.size() == 1 ? "" : "s", fmt::join(never, ", "));
}

std::string in_hours(double seconds) {
  if (seconds < 60) return fmt::format("{:.0f} s", seconds);
  const long minutes = std::lround(seconds / 60);
  if (minutes < 60) return fmt::format("{} min", minutes);
  return fmt::format("{} h {} min", minutes / 60, minutes % 60);
}

}  // namespace endpin::measures
