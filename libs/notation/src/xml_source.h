#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "endpin/base/result.h"

#include "encoding.h"
#include "messages.h"
#include "numbers.h"
#include "pugixml.hpp"

namespace endpin::notation {

/// A parsed XML text that knows the line of every node. Nothing is fetched, no entity beyond the
/// five is expanded.
class XmlSource {
 public:
  /// Errors: text that is no XML, with its line; more nodes than memory should hold.
  static Result<std::unique_ptr<XmlSource>> parse(std::string utf8, const Messages& messages);

  pugi::xml_document& document() { return document_; }
  pugi::xml_node root() const { return document_.document_element(); }
  /// From 1; 0 if not known. O(log lines).
  int line(pugi::xml_node node) const;

 private:
  explicit XmlSource(std::string utf8);

  std::string text_;  // the document points into it
  std::vector<std::size_t> line_starts_;
  pugi::xml_document document_;
};

inline std::string_view text_of(pugi::xml_node node) { return trimmed(node.child_value()); }
inline std::string_view text_of(pugi::xml_node node, const char* child) {
  return trimmed(node.child_value(child));
}
inline std::string_view attribute_of(pugi::xml_node node, const char* name) {
  return trimmed(node.attribute(name).value());
}

}  // namespace endpin::notation
