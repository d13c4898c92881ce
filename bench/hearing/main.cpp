#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <iterator>
#include <map>
#include <optional>
#include <string>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "commit.h"
#include "evaluation.h"
#include "heartbeat.h"
#include "section_times.h"

/// endpin-bench-hearing [RECORDINGS] [--full] [--seed N] [--only SECTION]… [--cache DIR]
///                      [--fault NAME]… [--takes N] [--failures N] [--markdown FILE] [--keep
///                      FOLDER] [--parts FOLDER]
namespace {

using namespace endpin;
using namespace endpin::evaluation;

struct Words {
  Settings settings;
  std::vector<std::string> only;
  std::size_t failures = 40;
  std::string markdown;
  std::filesystem::path parts;  ///< what each section said, to go on after a break; empty: nowhere
};

std::filesystem::path default_cache() {
  if (const char* cache = std::getenv("XDG_CACHE_HOME"))
    return std::filesystem::path(cache) / "endpin-bench";
  if (const char* home = std::getenv("HOME"))
    return std::filesystem::path(home) / ".cache/endpin-bench";
  return std::filesystem::temp_directory_path() / "endpin-bench";
}

Words read_words(int count, char** words) {
  Words read;
  read.settings.cache = default_cache();
  for (int i = 1; i < count; ++i) {
    const std::string word = words[i];
    const auto value = [&] { return i + 1 < count ? std::string(words[++i]) : std::string(); };
    if (word == "--full")
      read.settings.full = true;
    else if (word == "--seed")
      read.settings.seed = std::stoull(value());
    else if (word == "--only")
      read.only.push_back(value());
    else if (word == "--fault")
      read.settings.faults.push_back(value());
    else if (word == "--takes")
      read.settings.takes = std::stoi(value());
    else if (word == "--cache")
      read.settings.cache = value();
    else if (word == "--failures")
      read.failures = std::stoul(value());
    else if (word == "--keep")
      read.settings.keep = value();
    else if (word == "--rows")
      read.settings.rows = value();
    else if (word == "--reliability")
      read.settings.reliability = value();
    else if (word == "--fitting")
      read.settings.fitting = true;
    else if (word == "--parts")
      read.parts = value();
    else if (word == "--markdown")
      read.markdown = value();
    else
      read.settings.recordings = word;
  }
  // Hours are not thrown away.
  if (read.settings.full && read.parts.empty()) read.parts = read.settings.cache / "hearing-parts";
  return read;
}

// What one section said.
struct Part {
  std::string text, markdown;
};

Part measured(const std::string& name, const std::function<Report()>& section, std::size_t failures,
              measures::SectionTimes& times) {
  begin_heartbeat(name, times.seconds(name));
  const auto begin = std::chrono::steady_clock::now();
  const auto report = section();
  const std::chrono::duration<double> spent = std::chrono::steady_clock::now() - begin;
  times.remember(name, spent.count());
  Part part;
  part.text =
      fmt::format("\n== {} ({:.0f} s)\n{}", name, spent.count(), measures::text(report.figures));
  part.markdown = measures::markdown(report.figures) + "\n";
  const auto shown = std::min(failures, report.failures.size());
  if (shown > 0) {
    part.text += fmt::format("\n  where it failed ({} of {}):\n", shown, report.failures.size());
  }
  for (std::size_t i = 0; i < shown; ++i) {
    part.text += fmt::format("    {}\n", report.failures[i]);
  }
  return part;
}

// What a section's length depends on.
std::string length_of(const Settings& s) {
  return fmt::format("{} {} {} {}", s.full ? "full" : "quick", s.takes.value_or(-1), s.fitting,
                     fmt::join(s.faults, ","));
}

// All that a section's figures depend on. What an uncommitted tree measured is never taken up.
std::string key_of(const Words& read, const std::string& at_commit) {
  const auto& s = read.settings;
  if (at_commit == "unknown" || at_commit.ends_with("-dirty")) return {};
  return fmt::format("{} {} {} {} {} {} {} {}", at_commit, s.seed, s.full, s.takes.value_or(-1),
                     s.fitting, fmt::join(s.faults, ","), read.failures, s.recordings.string());
}

std::optional<std::string> contents(const std::filesystem::path& file) {
  std::ifstream in(file);
  if (!in) return std::nullopt;
  return std::string(std::istreambuf_iterator<char>(in), {});
}

// A section's files carry the key; the text is written last, so that a broken-off one is not taken.
std::optional<Part> kept(const std::filesystem::path& folder, const std::string& name,
                         const std::string& key) {
  if (folder.empty() || key.empty()) return std::nullopt;
  const auto text = contents(folder / (name + ".txt"));
  const auto markdown = contents(folder / (name + ".md"));
  if (!text || !markdown || !text->starts_with(key + "\n")) return std::nullopt;
  return Part{text->substr(key.size() + 1), *markdown};
}

void keep(const std::filesystem::path& folder, const std::string& name, const std::string& key,
          const Part& part) {
  if (folder.empty() || key.empty()) return;
  std::filesystem::create_directories(folder);
  std::ofstream(folder / (name + ".md")) << part.markdown;
  std::ofstream(folder / (name + ".txt")) << key << "\n" << part.text;
}

}  // namespace

int main(int count, char** words) {
  const auto read = read_words(count, words);
  const auto& settings = read.settings;
  std::unique_ptr<Studio> studio;
  const auto in_studio = [&](auto section) {
    return [&, section] {
      if (!studio) studio = std::make_unique<Studio>(settings);
      return section(settings, *studio);
    };
  };
  const auto key = key_of(read, built_from());
  const bool recorded = !settings.recordings.empty();
  const std::pair<const char*, std::function<Report()>> sections[] = {
      {"recordings", [&] { return recorded ? recordings_section(settings) : Report{}; }},
      {"simulated", in_studio(simulated_section)},
      {"confidence", in_studio(confidence_section)},
      {"faults", in_studio(faults_section)},
      {"right", in_studio(played_right_section)},
      {"own", in_studio(own_play_along_section)},
      {"altered", [&] { return recorded ? altered_section(settings) : Report{}; }},
      {"altered-simulated", in_studio(altered_simulated_section)},
      {"beside", [&] { return recorded ? beside_section(settings) : Report{}; }},
      {"ensemble", in_studio(ensemble_section)},
      {"microphones", in_studio(microphones_section)},
      {"surroundings", in_studio(surroundings_section)},
      {"etudes", in_studio(etudes_section)},
      {"low", in_studio(low_notes_section)},
      {"pieces", in_studio(wrong_pieces_section)},
      {"backing", in_studio(backing_section)},
      {"life", in_studio(life_section)},
      {"live", in_studio(live_section)},
      {"peers", in_studio(peers_section)},
      {"budget", in_studio(budget_section)},
      {"ablation", in_studio(ablation_section)},
      {"speed", in_studio(speed_section)},
      {"hour",
       [&] { return settings.full || !read.only.empty() ? in_studio(hour_section)() : Report{}; }}};
  fmt::print("commit {}, seed {}, {}\n", built_from(), settings.seed,
             settings.full ? "documented numbers" : "quick numbers");
  measures::SectionTimes times(settings.cache / "hearing-times.txt", length_of(settings));
  std::vector<std::string> ahead;
  for (const auto& [name, section] : sections) {
    const bool wanted =
        read.only.empty() || std::find(read.only.begin(), read.only.end(), name) != read.only.end();
    if (wanted) ahead.push_back(name);
  }
  const auto is_ahead = [&](const char* name) {
    return std::find(ahead.begin(), ahead.end(), name) != ahead.end();
  };
  std::string tables;
  for (const auto& [name, section] : sections) {
    if (!is_ahead(name)) continue;
    auto part = kept(read.parts, name, key);
    if (!part) {
      std::vector<std::string> to_measure;
      for (const auto& other : ahead) {
        if (!kept(read.parts, other, key)) to_measure.push_back(other);
      }
      fmt::print(stderr, "{} begins; {}\n", name, times.left(to_measure));
      part = measured(name, section, read.failures, times);
      keep(read.parts, name, key, *part);
    }
    std::erase(ahead, name);
    fmt::print("{}", part->text);
    std::fflush(stdout);
    tables += part->markdown;
    // After each section: a run of hours that breaks off leaves what it has.
    if (!read.markdown.empty()) std::ofstream(read.markdown) << tables;
  }
  return 0;
}
