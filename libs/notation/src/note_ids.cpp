#include "note_ids.h"

#include <map>
#include <string>
#include <unordered_set>

#include "fmt/format.h"

namespace endpin::notation {
namespace {

struct Place {
  std::size_t part;
  std::size_t bar;
  std::size_t number;
};

class Numbering {
 public:
  explicit Numbering(pugi::xml_node root) {
    for (const pugi::xml_node part : root.child("part-list").children("score-part")) {
      part_number(part.attribute("id").value());
    }
    for (const pugi::xml_node outer : root.children()) {
      for (const pugi::xml_node inner : outer.children()) visit(outer, inner);
    }
  }

  std::vector<NumberedNote> number() {
    for (NumberedNote& note : notes_) {
      const pugi::xml_attribute id = note.node.attribute("id");
      note.had_id = !id.empty() && id.value()[0] != '\0';
      note.replaced = note.had_id && !taken_.insert(id.value()).second;
    }
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      if (!notes_[i].had_id || notes_[i].replaced) make_id(notes_[i].node, places_[i]);
    }
    return std::move(notes_);
  }

 private:
  std::size_t part_number(const std::string& id) {
    return parts_.emplace(id, parts_.size() + 1).first->second;
  }

  /// A measure inside its part, or a part inside its measure.
  void visit(pugi::xml_node outer, pugi::xml_node inner) {
    const bool partwise = std::string_view(outer.name()) == "part";
    const std::string_view wanted = partwise ? "measure" : "part";
    const bool timewise = std::string_view(outer.name()) == "measure";
    if ((!partwise && !timewise) || inner.name() != wanted) return;
    const std::size_t part = part_number((partwise ? outer : inner).attribute("id").value());
    const std::size_t bar = ++bars_[part];
    std::size_t number = 0;
    for (const pugi::xml_node note : inner.children("note")) {
      notes_.push_back({note, false, false});
      places_.push_back({part, bar, ++number});
    }
  }

  void make_id(pugi::xml_node note, Place place) {
    std::string id = fmt::format("p{}b{}n{}", place.part, place.bar, place.number);
    while (!taken_.insert(id).second) id += "x";
    pugi::xml_attribute attribute = note.attribute("id");
    if (!attribute) attribute = note.append_attribute("id");
    attribute.set_value(id.c_str());
  }

  std::map<std::string, std::size_t> parts_;
  std::map<std::size_t, std::size_t> bars_;
  std::vector<NumberedNote> notes_;
  std::vector<Place> places_;
  std::unordered_set<std::string> taken_;
};

}  // namespace

std::vector<NumberedNote> number_notes(pugi::xml_node root) { return Numbering(root).number(); }

}  // namespace endpin::notation
