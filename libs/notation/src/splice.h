#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace endpin::notation {

/// Edits of a text, gathered in any order and applied at once; what they do not touch stays byte
/// for byte.
class Splice {
 public:
  explicit Splice(std::string_view text) : text_(text) {}
  void insert(std::size_t at, std::string text) { edits_.push_back({at, 0, std::move(text)}); }
  void replace(std::size_t at, std::size_t length, std::string text) {
    edits_.push_back({at, length, std::move(text)});
  }
  std::string apply();

 private:
  struct Edit {
    std::size_t at;
    std::size_t length;
    std::string text;
  };
  std::string_view text_;
  std::vector<Edit> edits_;
};

/// One past the end of the element whose '<' stands at `start` in well-formed XML. O(its length).
std::size_t element_end(std::string_view xml, std::size_t start);

}  // namespace endpin::notation
