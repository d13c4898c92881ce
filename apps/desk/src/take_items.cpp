#include "take_items.h"

#include "endpin/app/files.h"
#include "endpin/notation/write.h"

#include "fields.h"
#include "lesson_order.h"

namespace endpin::desk {
namespace {

namespace fs = std::filesystem;

constexpr const char* list_name = "items.json";
constexpr const char* bars_of_the_piece = "alone";  // the recipe of such an exercise

// The one that the take came from, or the newest that its student had been given by then.
std::optional<book::Lesson> lesson_of(book::Book& book, const book::Take& take,
                                      const book::Piece& piece) {
  if (take.lesson) {
    const auto own = book.lessons().find(*take.lesson);
    if (own && *own && (*own)->piece == piece.id) return *own;
  }
  if (!take.student) return std::nullopt;
  const auto given = book.lessons().list({take.student, piece.id});
  if (!given) return std::nullopt;
  for (const book::Lesson& lesson : *given) {
    if (lesson.created <= take.received) return lesson;
  }
  return std::nullopt;
}

TakeItem item_from(const Exercise& exercise, const LessonItem& item) {
  const bool warm_up = exercise.kind == ExerciseKind::warm_up;
  return {item.key,
          item.kind,
          item.title,
          item.bars,
          exercise.timeline,
          write_musicxml(exercise.score, shown_markings(exercise.markings, warm_up))};
}

fs::path file_of(const fs::path& folder, int item, const std::string& ending) {
  return folder / ("item-" + std::to_string(item) + ending);
}

fs::path hearing_file(const fs::path& folder, int item) {
  return item == 0 ? folder / "hearing.json" : file_of(folder, item, ".json");
}

Json to_json(const TakeItem& item, int number) {
  return {{"item", number},
          {"key", item.key},
          {"kind", name(item.kind)},
          {"title", {{"key", item.title.key}, {"args", item.title.args}}},
          {"bars", item.bars}};
}

// "f0-3" of the second item becomes "f2-3": the teacher's word is about one finding of the take.
void number_findings(Hearing& hearing, int item) {
  for (Finding& finding : hearing.findings) {
    const auto dash = finding.id.find('-');
    if (dash != std::string::npos)
      finding.id = "f" + std::to_string(item) + finding.id.substr(dash);
  }
}

Result<void> keep(const fs::path& folder, const TakeItem& item, const ItemHearing& heard) {
  auto kept =
      app::write_file_atomically(hearing_file(folder, heard.item), endpin::to_json(heard.hearing));
  if (!kept || heard.item == 0) return kept;
  kept = app::write_file_atomically(file_of(folder, heard.item, ".timeline.json"),
                                    endpin::to_json(item.timeline));
  if (!kept) return kept;
  return app::write_file_atomically(file_of(folder, heard.item, ".musicxml"), item.musicxml);
}

}  // namespace

std::vector<TakeItem> items_of(book::Book& book, MarkedScores& scores, const book::Take& take,
                               const book::Piece& piece, const MarkedScore& marked) {
  std::vector<TakeItem> items(1);
  items[0].title = {"sheet.piece", {}};
  items[0].timeline = marked.timeline;
  const auto lesson = lesson_of(book, take, piece);
  if (!lesson) return items;
  const auto order = lesson_order(book, scores, piece, *lesson);
  if (!order) return items;  // the piece can be heard all the same
  const auto plan = app::plan_lesson(*order);
  if (!plan) return items;
  for (const LessonItem* item : plan->lesson.chosen()) {
    const Exercise* exercise = plan->lesson.find_exercise(item->key);
    if (exercise == nullptr) continue;
    if (exercise->recipe == bars_of_the_piece && take.item != item->key) continue;
    items.push_back(item_from(*exercise, *item));
  }
  return items;
}

Result<void> keep_items(const fs::path& folder, const std::vector<TakeItem>& items,
                        std::vector<ItemHearing>& heard) {
  for (const HeardItem& before : heard_items(folder)) {
    if (before.item == 0) continue;
    std::error_code ignored;
    for (const char* ending : {".json", ".timeline.json", ".musicxml"}) {
      fs::remove(file_of(folder, before.item, ending), ignored);
    }
  }
  Json list = Json::array();
  for (ItemHearing& one : heard) {
    const TakeItem& item = items.at(static_cast<std::size_t>(one.item));
    number_findings(one.hearing, one.item);
    if (auto kept = keep(folder, item, one); !kept) return kept;
    list.push_back(to_json(item, one.item));
  }
  return app::write_file_atomically(folder / list_name, dump(list));
}

std::vector<HeardItem> heard_items(const fs::path& folder) {
  std::vector<HeardItem> items;
  const auto text = app::read_file(folder / list_name);
  const Json list = Json::parse(text ? *text : "", nullptr, false);
  // Heard before there were lists: the piece alone.
  std::error_code failed;
  if (!list.is_array() && fs::exists(hearing_file(folder, 0), failed)) {
    items.push_back({0, "piece", "piece", {"sheet.piece", {}}, {}});
  }
  if (!list.is_array()) return items;
  for (const Json& j : list) {
    const Json& title = j.at("title");
    items.push_back({j.at("item"),
                     j.at("key"),
                     j.at("kind"),
                     {title.at("key"), title.at("args").get<std::map<std::string, std::string>>()},
                     j.at("bars").get<std::vector<std::string>>()});
  }
  return items;
}

Result<Hearing> hearing_of(const fs::path& folder, int item) {
  return app::read_file(hearing_file(folder, item)).and_then([](const std::string& text) {
    return hearing_from_json(text);
  });
}

Result<Timeline> exercise_timeline(const fs::path& folder, int item) {
  return app::read_file(file_of(folder, item, ".timeline.json"))
      .and_then([](const std::string& text) { return timeline_from_json(text); });
}

Result<std::string> exercise_musicxml(const fs::path& folder, int item) {
  return app::read_file(file_of(folder, item, ".musicxml"));
}

std::vector<fs::path> hearing_files(const fs::path& folder) {
  std::vector<fs::path> files{hearing_file(folder, 0)};
  for (const HeardItem& item : heard_items(folder)) {
    if (item.item != 0) files.push_back(hearing_file(folder, item.item));
  }
  return files;
}

}  // namespace endpin::desk
