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

/// "3+2" as 5.
int sum_of(std::string_view text) {
  int sum = 0;
  while (!text.empty()) {
    const std::size_t plus = text.find('+');
    sum += number_or(text.substr(0, plus), 0, 0, 1000);
    text = plus == std::string_view::npos ? std::string_view() : text.substr(plus + 1);
  }
  return sum;
}

bool is_power_of_two(int n) { return n > 0 && (n & (n - 1)) == 0; }

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
    const int beats = sum_of(text_of(time, "beats"));
    const int type = number_or(text_of(time, "beat-type"), 0, 0, 1024);
    if (beats < 1 || !is_power_of_two(type)) {
      state_.messages.warn(
          line(time),
          fmt::format("a metre of {}/{} cannot be counted", text_of(time, "beats").substr(0, 20),
                      text_of(time, "beat-type").substr(0, 20)),
          "Correct <beats> and <beat-type>; the metre before was kept.");
      return;
    }
    signature.beats = beats;
    signature.beat_type = type;
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
  const bool changes = part_.bars.size() > 1 && !(transpose == part_.transpose);
  if (changes) {
    state_.messages.warn(line(node), "the transposition changes inside the part",
                         "Only the first is used: split the part where it changes instrument.");
    return;
  }
  part_.transpose = transpose;
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
