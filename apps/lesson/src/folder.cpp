#include <future>
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
  tell("printing");
  const auto printed = print_sheet(sheet_of(order, *plan, *drawings), order.date);
  if (!printed) return Unexpected(Error(printed.error()));
  const auto sounds = playing.get();
  if (!sounds) return Unexpected(Error(sounds.error()));

  const std::filesystem::path& place = staged->path();
  if (auto done = write_pictures(place, *drawings); !done) return done;
  for (const auto& [name, bytes] : *sounds) {
    if (auto done = write_file_atomically(place / name, bytes); !done) return done;
  }
  const std::string json = lesson_json(order, *plan, drawings->piece.size());
  tell("taking home");
  auto page = take_home_of(order, *plan, json);
  if (!page) return Unexpected(std::move(page).error());
  const std::pair<const char*, std::string> rest[] = {
      {"take-home.html", std::move(*page)},
      {"sheet.html", printed->html},
      {"sheet.pdf", printed->pdf},
      {"lesson.json", json}};
  for (const auto& [name, bytes] : rest) {
    if (auto done = write_file_atomically(place / name, bytes); !done) return done;
  }
  return staged->publish();
}

}  // namespace endpin::app
