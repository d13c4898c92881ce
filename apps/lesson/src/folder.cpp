#include <algorithm>
#include <future>
#include <system_error>
#include <utility>

#include "endpin/app/files.h"
#include "endpin/lesson_folder/lesson_folder.h"

#include "drawing.h"
#include "lesson_json.h"
#include "print_sheet.h"
#include "sheet_of.h"
#include "sounds.h"
#include "take_home_of.h"

namespace endpin::app {
namespace {

Result<void> write_pictures(const std::filesystem::path& folder, const Drawings& drawings) {
  std::vector<std::pair<std::string, const std::string*>> files;
  for (std::size_t i = 0; i < drawings.piece.size(); ++i) {
    files.emplace_back(piece_picture(i), &drawings.piece[i]);
  }
  for (const auto& [key, svg] : drawings.exercises) files.emplace_back(key + ".svg", &svg);
  files.emplace_back("piece.musicxml", &drawings.musicxml);
  for (const auto& [name, bytes] : files) {
    if (auto written = write_file_atomically(folder / name, *bytes); !written) return written;
  }
  return {};
}

// The files that an earlier lesson in `folder` named; empty if there is none.
std::vector<std::string> files_of_lesson(const std::filesystem::path& folder) {
  const auto json = read_file(folder / "lesson.json");
  return json ? files_named_in(*json) : std::vector<std::string>();
}

// A lesson that is written over another leaves none of its drills behind. What the teacher put
// beside it stays.
void remove_left_over(const std::filesystem::path& folder, const std::vector<std::string>& before,
                      const std::string& json) {
  const std::vector<std::string> now = files_named_in(json);
  for (const std::string& name : before) {
    std::error_code ignored;
    if (std::find(now.begin(), now.end(), name) == now.end()) {
      std::filesystem::remove(folder / name, ignored);
    }
  }
}

}  // namespace

Result<void> write_lesson(const LessonOrder& order, const std::filesystem::path& folder,
                          const Progress& progress) {
  const auto tell = [&](std::string_view what) {
    if (progress) progress(what);
  };
  auto staged = StagedDirectory::create(folder);
  if (!staged) return Unexpected(std::move(staged).error());
  const auto plan = plan_lesson(order);
  if (!plan) return Unexpected(Error(plan.error()));

  tell("playing");
  auto playing = std::async(std::launch::async, [&] { return play_all(order, *plan); });
  tell("engraving");
  const auto drawings = draw(order, *plan);
  if (!drawings) return Unexpected(Error(drawings.error()));
  const std::string json = lesson_json(order, *plan, drawings->piece.size());
  auto taking_home =
      std::async(std::launch::async, [&] { return take_home_of(order, *plan, json); });
  tell("printing");
  const auto printed = print_sheet(sheet_of(order, *plan, *drawings), order.date);
  if (!printed) return Unexpected(Error(printed.error()));
  tell("finishing");
  auto page = taking_home.get();
  if (!page) return Unexpected(std::move(page).error());
  const auto sounds = playing.get();
  if (!sounds) return Unexpected(Error(sounds.error()));

  const std::filesystem::path& place = staged->path();
  if (auto done = write_pictures(place, *drawings); !done) return done;
  for (const auto& [name, bytes] : *sounds) {
    if (auto done = write_file_atomically(place / name, bytes); !done) return done;
  }
  const std::pair<const char*, std::string> rest[] = {{"take-home.html", std::move(*page)},
                                                      {"sheet.html", printed->html},
                                                      {"sheet.pdf", printed->pdf},
                                                      {"lesson.json", json}};
  for (const auto& [name, bytes] : rest) {
    if (auto done = write_file_atomically(place / name, bytes); !done) return done;
  }
  const std::vector<std::string> before = files_of_lesson(folder);
  if (auto done = staged->publish(); !done) return done;
  remove_left_over(folder, before, json);
  return {};
}

}  // namespace endpin::app
