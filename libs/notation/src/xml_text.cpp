#include "xml_text.h"

namespace endpin::notation {

std::string escaped(std::string_view text) {
  std::string result;
  for (const char c : text) {
    switch (c) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      case '"':
        result += "&quot;";
        break;
      default:
        // XML 1.0 has no other control characters than these three.
        if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t') result += c;
    }
  }
  return result;
}

void XmlText::start(std::string_view name, Attributes attributes) {
  text_.append(2 * open_.size(), ' ').append("<").append(name);
  for (const auto& [key, value] : attributes) {
    if (!value.empty())
      text_.append(" ").append(key).append("=\"").append(escaped(value)).append("\"");
  }
}

void XmlText::open(std::string_view name, Attributes attributes) {
  const std::size_t begin = text_.size();
  start(name, attributes);
  text_ += ">\n";
  open_.push_back({std::string(name), begin, text_.size()});
}

void XmlText::close() {
  const std::string name = std::move(open_.back().name);
  open_.pop_back();
  text_.append(2 * open_.size(), ' ').append("</").append(name).append(">\n");
}

void XmlText::close_or_drop() {
  if (text_.size() > open_.back().inside) return close();
  text_.resize(open_.back().begin);
  open_.pop_back();
}

void XmlText::leaf(std::string_view name, std::string_view text, Attributes attributes) {
  start(name, attributes);
  text_.append(">").append(escaped(text)).append("</").append(name).append(">\n");
}

void XmlText::empty(std::string_view name, Attributes attributes) {
  start(name, attributes);
  text_ += "/>\n";
}

}  // namespace endpin::notation
