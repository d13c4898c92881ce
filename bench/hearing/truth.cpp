#include "truth.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <string>

#include <fmt/format.h>

namespace endpin::measures {
namespace {

using Row = std::map<std::string, double, std::less<>>;

std::vector<std::string> split(std::string_view text, char at) {
  std::vector<std::string> parts(1);
  for (const char c : text) {
    if (c == at) {
      parts.emplace_back();
    } else if (c != '\r') {
      parts.back().push_back(c);
    }
  }
  return parts;
}

Unexpected fault(std::size_t line, std::string what) {
  return Unexpected(Error{ErrorKind::input, "truth", fmt::format("{}", line), std::move(what), ""});
}

Result<std::vector<Row>> read_rows(std::string_view csv) {
  const auto lines = split(csv, '\n');
  const auto names = split(lines.front(), ',');
  std::vector<Row> rows;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    if (lines[i].empty()) continue;
    const auto fields = split(lines[i], ',');
    if (fields.size() != names.size()) return fault(i + 1, "another number of fields than names");
    Row row;
    for (std::size_t f = 0; f < names.size(); ++f) {
      char* end = nullptr;
      row[names[f]] = std::strtod(fields[f].c_str(), &end);
      if (end == fields[f].c_str() || *end != 0) return fault(i + 1, names[f] + " is no number");
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

/// Where the first bar that is full begins: positions in a truth count from there.
double first_full_bar(const Timeline& timeline) {
  for (const auto& bar : timeline.bars) {
    if (bar.length == Beats(4 * bar.beats, bar.beat_type)) return bar.start.to_double();
  }
  return 0;
}

std::vector<int> notes_at(const Timeline& timeline, double quarters, int midi) {
  std::vector<int> found;
  for (const auto& note : timeline.notes) {
    const bool here = std::abs(note.onset.to_double() - quarters) < 1e-3;
    if (here && note.midi == midi) found.push_back(note.index);
  }
  return found;
}

std::vector<int> notes_of(const Row& row, const Timeline& timeline, int midi) {
  if (const auto index = row.find("index"); index != row.end()) {
    const auto i = static_cast<int>(index->second);
    const bool fits = i >= 0 && i < static_cast<int>(timeline.notes.size()) &&
                      timeline.notes[static_cast<std::size_t>(i)].midi == midi;
    return fits ? std::vector{i} : std::vector<int>{};
  }
  const double position = row.find("score_position_quarters")->second;
  return notes_at(timeline, first_full_bar(timeline) + position, midi);
}

}  // namespace

Result<std::vector<TrueNote>> read_truth(std::string_view csv, const Timeline& timeline) {
  auto rows = read_rows(csv);
  if (!rows) return Unexpected(std::move(rows).error());
  std::vector<TrueNote> notes;
  for (std::size_t i = 0; i < rows->size(); ++i) {
    const Row& row = (*rows)[i];
    for (const char* name : {"onset_s", "offset_s", "midi"}) {
      if (!row.contains(name)) return fault(1, fmt::format("no column {}", name));
    }
    if (!row.contains("index") && !row.contains("score_position_quarters")) {
      return fault(1, "neither a column index nor score_position_quarters");
    }
    const int midi = static_cast<int>(row.find("midi")->second);
    TrueNote note{notes_of(row, timeline, midi), midi, Seconds(row.find("onset_s")->second),
                  Seconds(row.find("offset_s")->second)};
    if (note.indices.empty()) return fault(i + 2, "the score has no such note there");
    if (const auto whole = row.find("complete"); whole != row.end()) {
      note.complete = whole->second != 0;
    }
    notes.push_back(std::move(note));
  }
  return notes;
}

}  // namespace endpin::measures
