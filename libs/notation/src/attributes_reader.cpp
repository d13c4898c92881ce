#include <algorithm>

#include "fmt/format.h"
#include "musicxml_names.h"
#include "part_reader.h"

namespace endpin::notation {
namespace {

int number_or(std::string_view text, int otherwise, int lowest, int highest) {
  const auto number = whole_number(text);
  if (!number) return otherwise;
  return static_cast<int>(std::clamp<std::int64_t>(*number, lowest, highest));
}

bool is_power_of_two(int n) { return n > 0 && (n & (n - 1)) == 0; }

constexpr int most_beats = 1000;

/// "3+2" as its numbers.
std::vector<int> numbers_of(std::string_view text) {
  std::vector<int> numbers;
  while (!text.empty() && numbers.size() < most_beats) {
    const std::size_t plus = text.find('+');
    numbers.push_back(number_or(text.substr(0, plus), 0, 0, most_beats));
    text = plus == std::string_view::npos ? std::string_view() : text.substr(plus + 1);
  }
  return numbers;
}

/// The fractions of a <time> (there are several in 3/8 + 2/4) as one over the finest beat type;
/// nullopt if it cannot be counted.
std::optional<TimeSignature> signature_of(pugi::xml_node time) {
  std::vector<std::pair<int, int>> groups;  // beats, beat type
  int finest = 1;
  for (pugi::xml_node beats = time.child("beats"); beats; beats = beats.next_sibling("beats")) {
    const int type = number_or(text_of(beats.next_sibling("beat-type")), 0, 0, 1024);
    if (!is_power_of_two(type)) return std::nullopt;
    finest = std::max(finest, type);
    for (const int count : numbers_of(text_of(beats))) groups.emplace_back(count, type);
  }
  TimeSignature signature;
  signature.beats = 0;
  signature.beat_type = finest;
  for (const auto& [count, type] : groups) {
    const int parts = count * (finest / type);
    if (count < 1 || parts > most_beats || signature.beats > most_beats) return std::nullopt;
    signature.beats += parts;
    if (groups.size() > 1) signature.groups.push_back(parts);
  }
  if (signature.beats < 1) return std::nullopt;
  return signature;
}

}  // namespace

Result<void> PartReader::read_attributes(pugi::xml_node node) {
  for (const pugi::xml_node child : node.children()) {
    const std::string_view name = child.name();
    if (name == "divisions") {
      if (auto read = read_divisions(child); !read) return read;
    }
    if (name == "key" && first_staff_only(child)) read_key(child);
    if (name == "time" && first_staff_only(child)) read_time(child);
    if (name == "clef") read_clef(child);
    if (name == "transpose" && first_staff_only(child)) read_transpose(child);
    if (name == "measure-style") read_measure_style(child);
    if (name == "staves") part_.staves = number_or(text_of(child), 1, 1, 32);
  }
  return {};
}

/// A signature of another staff than the first is drawn only; the part has one.
bool PartReader::first_staff_only(pugi::xml_node node) const {
  return number_or(attribute_of(node, "number"), 1, 1, 32) == 1;
}

Result<void> PartReader::read_divisions(pugi::xml_node node) {
  const auto number = decimal_number(text_of(node));
  constexpr std::int64_t most = Grid::finest;
  const std::int64_t divisions = number ? number->numerator / number->denominator : 0;
  if (divisions < 1 || divisions > most) {
    return state_.messages.error(
        line(node),
        fmt::format("a quarter cannot be divided into \"{}\"", text_of(node).substr(0, 40)),
        "Correct <divisions>.");
  }
  divisions_ = divisions;
  return {};
}

void PartReader::read_key(pugi::xml_node key) {
  if (!key.child("fifths")) {
    state_.messages.warn(line(key), "a key signature that is no circle-of-fifths one",
                         "No sharps and flats were taken from it.");
  }
  Change change;
  change.kind = ChangeKind::key;
  change.at = cursor_;
  change.key.fifths = number_or(text_of(key, "fifths"), 0, -7, 7);
  change.key.mode = text_of(key, "mode");
  if (change.key.mode == "none") change.key.mode.clear();
  bar().changes.push_back(change);
}

void PartReader::read_time(pugi::xml_node time) {
  Change change;
  change.kind = ChangeKind::time;
  change.at = cursor_;
  TimeSignature& signature = change.time;
  if (time.child("senza-misura")) {
    signature.senza_misura = true;
  } else {
    const auto counted = signature_of(time);
    if (!counted) {
      state_.messages.warn(
          line(time),
          fmt::format("a metre of {}/{} cannot be counted", text_of(time, "beats").substr(0, 20),
                      text_of(time, "beat-type").substr(0, 20)),
          "Correct <beats> and <beat-type>; the metre before was kept.");
      return;
    }
    signature = *counted;
    signature.common = attribute_of(time, "symbol") == "common";
    signature.cut = attribute_of(time, "symbol") == "cut";
  }
  bar().changes.push_back(change);
}

void PartReader::read_clef(pugi::xml_node clef) {
  Change change;
  change.kind = ChangeKind::clef;
  change.at = cursor_;
  const std::string_view sign = text_of(clef, "sign");
  change.clef.sign = value_named(clef_sign_names, sign).value_or(ClefSign::other);
  const int usual = sign == "F" ? 4 : sign == "C" ? 3 : 2;
  change.clef.line = number_or(text_of(clef, "line"), usual, 1, 5);
  change.clef.octave_change = number_or(text_of(clef, "clef-octave-change"), 0, -2, 2);
  change.clef.staff = number_or(attribute_of(clef, "number"), 1, 1, 32);
  bar().changes.push_back(change);
}

void PartReader::read_transpose(pugi::xml_node node) {
  Transposition transpose;
  transpose.diatonic = number_or(text_of(node, "diatonic"), 0, -24, 24);
  const auto chromatic = decimal_number(text_of(node, "chromatic"));
  transpose.chromatic =
      chromatic ? static_cast<int>(std::clamp(chromatic->to_double(), -48.0, 48.0)) : 0;
  transpose.octave_change = number_or(text_of(node, "octave-change"), 0, -4, 4);
  if (part_.bars.size() == 1 && cursor_ == Beats(0)) {
    part_.transpose = transpose;
    return;
  }
  Change change;
  change.kind = ChangeKind::transposition;
  change.at = cursor_;
  change.transpose = transpose;
  bar().changes.push_back(change);
}

void PartReader::read_measure_style(pugi::xml_node style) {
  if (const pugi::xml_node rest = style.child("multiple-rest")) {
    bar().multi_rest = number_or(text_of(rest), 0, 0, 10'000);
  }
  if (const pugi::xml_node repeat = style.child("measure-repeat")) {
    const bool starts = attribute_of(repeat, "type") != "stop";
    repeat_of_bars_ = starts ? number_or(text_of(repeat), 1, 1, 64) : 0;
    bar().repeat_of_bars = repeat_of_bars_;
  }
}

}  // namespace endpin::notation
