#include "accidentals.h"

namespace endpin::notation {
namespace {

std::string_view name_of_alter(int alter) {
  switch (alter) {
    case -2:
      return "flat-flat";
    case -1:
      return "flat";
    case 0:
      return "natural";
    case 1:
      return "sharp";
    case 2:
      return "double-sharp";
    default:
      return {};
  }
}

}  // namespace

int key_alter(Step step, int fifths) {
  const int place = line_of_fifths({step, 0, 4});  // F -1 … B 5
  if (fifths > 0) return place + 1 < fifths ? 1 : 0;
  return 5 - place < -fifths ? -1 : 0;
}

void Accidentals::start_bar(int fifths) {
  fifths_ = fifths;
  said_.clear();
}

std::optional<std::string_view> Accidentals::for_note(SpelledPitch pitch, int staff, bool tied_in) {
  const std::pair place{staff, pitch.staff_step()};
  const auto said = said_.find(place);
  const int in_force = said == said_.end() ? key_alter(pitch.step, fifths_) : said->second;
  if (in_force == pitch.alter || tied_in) return std::nullopt;
  said_[place] = pitch.alter;
  const std::string_view name = name_of_alter(pitch.alter);
  return name.empty() ? std::nullopt : std::optional(name);
}

}  // namespace endpin::notation
