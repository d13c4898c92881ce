#include <algorithm>
#include <map>
#include <vector>

#include "finish.h"
#include "fmt/format.h"
#include "note_ids.h"
#include "part_reader.h"
#include "readers.h"

namespace endpin::notation {
namespace {

constexpr std::size_t most_parts = 256;
constexpr std::size_t most_bars = 200'000;  // of all parts together

void read_header(pugi::xml_node root, Score& score) {
  const pugi::xml_node identification = root.child("identification");
  score.title = text_of(root.child("work"), "work-title");
  if (score.title.empty()) score.title = text_of(root, "movement-title");
  for (const pugi::xml_node creator : identification.children("creator")) {
    const std::string_view type = attribute_of(creator, "type");
    if (type == "composer" || (type.empty() && score.composer.empty())) {
      score.composer = text_of(creator);
    }
  }
  score.rights = text_of(identification, "rights");
  for (const pugi::xml_node credit : root.children("credit")) {
    const std::string_view type = text_of(credit, "credit-type");
    if (type == "title" && score.title.empty()) score.title = text_of(credit, "credit-words");
    if (type == "composer" && score.composer.empty()) {
      score.composer = text_of(credit, "credit-words");
    }
  }
}

Part read_part_header(pugi::xml_node node) {
  Part part;
  part.id = attribute_of(node, "id");
  part.name = text_of(node, "part-name");
  part.abbreviation = text_of(node, "part-abbreviation");
  part.instrument_sound = text_of(node.child("score-instrument"), "instrument-sound");
  if (part.name.empty()) part.name = text_of(node.child("score-instrument"), "instrument-name");
  const auto program = whole_number(text_of(node.child("midi-instrument"), "midi-program"));
  if (program && *program >= 1 && *program <= 128) part.midi_program = static_cast<int>(*program);
  return part;
}

/// Collects the parts; a part that the list does not name comes after those that it names.
class Parts {
 public:
  Parts(Score& score, ReadingState& state) : score_(score), state_(state) {}

  Result<void> read_list(pugi::xml_node list) {
    for (const pugi::xml_node node : list.children("score-part")) {
      if (!add(read_part_header(node))) return too_many(node);
    }
    return {};
  }

  Result<void> read_measure(std::string_view part_id, pugi::xml_node measure) {
    auto found = places_.find(std::string(part_id));
    if (found == places_.end()) {
      Part part;
      part.id = part_id;
      if (!add(std::move(part))) return too_many(measure);
      found = places_.find(std::string(part_id));
    }
    if (++bars_ > most_bars) {
      return state_.messages.error(state_.source.line(measure),
                                   fmt::format("more than {} bars", most_bars),
                                   "Split the score into smaller ones.");
    }
    return readers_[found->second].read_measure(measure);
  }

  void finish() {
    std::vector<Split> splits;
    for (PartReader& reader : readers_) {
      reader.finish();
      splits.insert(splits.end(), reader.splits().begin(), reader.splits().end());
    }
    constexpr std::size_t most_splits = 1000;  // printed music has a handful
    splits.resize(std::min(splits.size(), most_splits));
    split_bars(score_, std::move(splits));
  }

 private:
  bool add(Part part) {
    if (score_.parts.size() >= most_parts) return false;
    if (!places_.emplace(part.id, score_.parts.size()).second) return true;
    if (score_.parts.capacity() < most_parts) score_.parts.reserve(most_parts);  // readers point in
    score_.parts.push_back(std::move(part));
    readers_.emplace_back(score_.parts.back(), state_);
    return true;
  }

  Unexpected too_many(pugi::xml_node node) const {
    return state_.messages.error(state_.source.line(node),
                                 fmt::format("more than {} parts", most_parts),
                                 "Split the score into smaller ones.");
  }

  Score& score_;
  ReadingState& state_;
  std::map<std::string, std::size_t> places_;
  std::vector<PartReader> readers_;
  std::size_t bars_ = 0;
};

Result<void> read_partwise(pugi::xml_node root, Parts& parts) {
  for (const pugi::xml_node part : root.children("part")) {
    for (const pugi::xml_node measure : part.children("measure")) {
      if (auto read = parts.read_measure(attribute_of(part, "id"), measure); !read) return read;
    }
  }
  return {};
}

/// In a timewise score the measure's own attributes stand on the element around its parts.
Result<void> read_timewise(pugi::xml_node root, Parts& parts) {
  for (const pugi::xml_node measure : root.children("measure")) {
    for (pugi::xml_node part : measure.children("part")) {
      for (const char* name : {"number", "implicit"}) {
        if (measure.attribute(name) && !part.attribute(name)) {
          part.append_attribute(name) = measure.attribute(name).value();
        }
      }
      if (auto read = parts.read_measure(attribute_of(part, "id"), part); !read) return read;
    }
  }
  return {};
}

}  // namespace

Result<Score> read_musicxml(std::string utf8, Messages& messages) {
  const auto parsed = XmlSource::parse(std::move(utf8), messages);
  if (!parsed) return Unexpected(parsed.error());
  const XmlSource& source = *parsed.value();
  const pugi::xml_node root = source.root();
  const bool timewise = std::string_view(root.name()) == "score-timewise";
  if (!timewise && std::string_view(root.name()) != "score-partwise") {
    return messages.error(
        source.line(root),
        fmt::format("this XML is no score: it is a <{}>", std::string(root.name()).substr(0, 40)),
        "Give a MusicXML file, <score-partwise> or <score-timewise>.");
  }
  number_notes(root);
  Score score;
  Grid grid;
  ReadingState state{source, messages, grid, 0};
  Parts parts(score, state);
  read_header(root, score);
  if (auto read = parts.read_list(root.child("part-list")); !read) return Unexpected(read.error());
  auto read = timewise ? read_timewise(root, parts) : read_partwise(root, parts);
  if (!read) return Unexpected(read.error());
  parts.finish();
  std::erase_if(score.parts, [](const Part& part) { return part.bars.empty(); });
  if (score.parts.empty()) {
    return messages.error(source.line(root), "the score has no bars", "Give a score with music.");
  }
  if (grid.rounded()) {
    messages.warn(std::string(), "some lengths are finer than can be counted",
                  "They were rounded; check the <divisions>.");
  }
  finish(score, messages);
  return score;
}

}  // namespace endpin::notation
