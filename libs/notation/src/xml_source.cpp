#include "xml_source.h"

#include <algorithm>

#include "fmt/format.h"

namespace endpin::notation {
namespace {

// Bytes that pugixml takes for an element or a piece of text, and for an attribute (64-bit).
constexpr std::size_t node_bytes = 64;
constexpr std::size_t attribute_bytes = 40;
constexpr std::size_t most_tree_bytes = std::size_t{160} << 20;

/// At least what the tree will take: every tag may be followed by text.
std::size_t tree_bytes(std::string_view text) {
  std::size_t opening = 0;
  std::size_t tags = 0;
  std::size_t attributes = 0;
  for (std::size_t i = 0; i + 1 < text.size(); ++i) {
    if (text[i] == '=') ++attributes;
    if (text[i] != '<') continue;
    ++tags;
    if (text[i + 1] != '/') ++opening;
  }
  return (opening + tags / 2) * node_bytes + attributes * attribute_bytes;
}

}  // namespace

XmlSource::XmlSource(std::string utf8) : text_(std::move(utf8)) {
  line_starts_.push_back(0);
  for (std::size_t i = 0; i < text_.size(); ++i) {
    const bool old_mac = text_[i] == '\r' && (i + 1 == text_.size() || text_[i + 1] != '\n');
    if (text_[i] == '\n' || old_mac) line_starts_.push_back(i + 1);
  }
}

Result<std::unique_ptr<XmlSource>> XmlSource::parse(std::string utf8, const Messages& messages) {
  if (tree_bytes(utf8) > most_tree_bytes) {
    return messages.error(0, "the file has more elements than can be read",
                          "Split the score into smaller ones.");
  }
  std::unique_ptr<XmlSource> source(new XmlSource(std::move(utf8)));
  constexpr unsigned options = pugi::parse_default | pugi::parse_embed_pcdata;
  const pugi::xml_parse_result parsed = source->document_.load_buffer_inplace(
      source->text_.data(), source->text_.size(), options, pugi::encoding_utf8);
  if (!parsed) {
    const auto after = std::upper_bound(source->line_starts_.begin(), source->line_starts_.end(),
                                        static_cast<std::size_t>(parsed.offset));
    return messages.error(static_cast<int>(after - source->line_starts_.begin()),
                          fmt::format("this is not whole XML ({})", parsed.description()),
                          "Save the score again in the program that made it.");
  }
  return source;
}

int XmlSource::line(pugi::xml_node node) const {
  const std::ptrdiff_t offset = node.offset_debug();
  if (offset < 0) return 0;
  const auto after =
      std::upper_bound(line_starts_.begin(), line_starts_.end(), static_cast<std::size_t>(offset));
  return static_cast<int>(after - line_starts_.begin());
}

}  // namespace endpin::notation
