#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace endpin::notation {

std::string escaped(std::string_view text);

/// Writes XML with an element a line, two spaces a level.
class XmlText {
 public:
  using Attributes = std::initializer_list<std::pair<std::string_view, std::string>>;

  /// Attributes without a value are left out.
  void open(std::string_view name, Attributes attributes = {});
  void close();
  /// Closes the element, or takes it out again if nothing stands in it.
  void close_or_drop();
  void leaf(std::string_view name, std::string_view text, Attributes attributes = {});
  void leaf(std::string_view name, long long number) { leaf(name, std::to_string(number)); }
  void empty(std::string_view name, Attributes attributes = {});
  void raw(std::string_view text) { text_ += text; }
  std::string take() { return std::move(text_); }

 private:
  void start(std::string_view name, Attributes attributes);

  struct Open {
    std::string name;
    std::size_t begin;  // of the element in text_
    std::size_t inside;
  };

  std::string text_;
  std::vector<Open> open_;
};

}  // namespace endpin::notation
