#include "home_takes.h"

#include <filesystem>

namespace endpin::desk {
namespace {

Error not_ours(const std::string& what) {
  return {ErrorKind::input, "take.json", "", what,
          "Send the file that the take-home page saved, or the recording itself."};
}

std::string text(const Json& about, const char* name) {
  const auto found = about.find(name);
  return found != about.end() && found->is_string() ? found->get<std::string>() : std::string();
}

void fill_lesson(const Services& s, const Json& about, book::Take& take) {
  const auto lesson = s.book.lessons().find_by_folder(text(about, "lesson_id"));
  if (lesson && *lesson) {
    take.lesson = (*lesson)->id;
    if (!take.piece) take.piece = (*lesson)->piece;
  }
  if (take.piece) return;
  const auto piece = s.book.pieces().find_content(text(about, "piece_sha256"));
  if (piece) take.piece = *piece;
}

void fill_student(const Services& s, const Json& about, book::Take& take) {
  const std::string token = text(about, "student_token");
  if (take.student || token.empty()) return;
  if (const auto student = s.book.students().student_of_token(token)) take.student = *student;
}

void fill_circumstances(const Json& about, book::Take& take) {
  const std::string recorded = text(about, "recorded_at");
  if (!take.recorded && plausible_moment(recorded)) take.recorded = recorded;
  const auto tempo = about.find("tempo");
  if (!take.tempo_bpm && tempo != about.end() && tempo->is_number()) {
    const double bpm = tempo->get<double>();
    if (bpm >= 10 && bpm <= 400) take.tempo_bpm = bpm;
  }
  take.item = text(about, "item").substr(0, 100);
}

}  // namespace

bool plausible_moment(const std::string& text) {
  return text.size() >= 10 && text.size() <= 30 && book::parse_date(text.substr(0, 10)) &&
         text.find_first_not_of("0123456789-:TZ.+") == std::string::npos;
}

Result<book::Upload> unpack_home_take(const Services& s, const book::Upload& zip,
                                      std::int64_t limit, book::Take& take) {
  auto parcel = book::open_parcel(s.book, zip.path(), limit);
  if (!parcel) return Unexpected(parcel.error());
  const Json about = Json::parse(parcel->about, nullptr, false);
  if (!about.is_object() || text(about, "schema") != "endpin.take/1") {
    return Unexpected(not_ours("it is not what a take-home page writes"));
  }
  const std::string said = text(about, "audio_sha256");
  if (!said.empty() && said != parcel->sound.hash()) {
    return Unexpected(not_ours("the recording is not the one that was packed"));
  }
  fill_lesson(s, about, take);
  fill_student(s, about, take);
  fill_circumstances(about, take);
  const std::string stem = std::filesystem::path(take.file_name).stem().string();
  take.file_name = book::plain_file_name(stem + book::plain_extension(parcel->sound_name));
  return std::move(parcel->sound);
}

}  // namespace endpin::desk
