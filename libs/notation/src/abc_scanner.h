#pragma once

#include <cctype>
#include <cstdint>
#include <optional>
#include <string_view>

namespace endpin::notation {

/// Reads a line of ABC from left to right.
class AbcScanner {
 public:
  explicit AbcScanner(std::string_view text) : text_(text) {}

  bool at_end() const { return at_ >= text_.size(); }
  char peek(std::size_t ahead = 0) const {
    return at_ + ahead < text_.size() ? text_[at_ + ahead] : '\0';
  }
  char next() { return at_end() ? '\0' : text_[at_++]; }
  bool take(char c) {
    if (peek() != c || at_end()) return false;
    ++at_;
    return true;
  }
  bool take(std::string_view word) {
    if (!text_.substr(at_).starts_with(word)) return false;
    at_ += word.size();
    return true;
  }
  void skip_space() {
    while (peek() == ' ' || peek() == '\t') ++at_;
  }
  bool at_digit() const { return std::isdigit(static_cast<unsigned char>(peek())) != 0; }
  /// A number up to 999,999; larger ones are cut off there.
  std::optional<int> number() {
    if (!at_digit()) return std::nullopt;
    int value = 0;
    while (at_digit()) {
      const int digit = next() - '0';
      if (value < 100'000) value = value * 10 + digit;
    }
    return value;
  }
  /// Up to `closing`, which is passed; all that is left if it does not come.
  std::string_view until(char closing) {
    const std::size_t end = text_.find(closing, at_);
    const std::string_view found = text_.substr(at_, end == text_.npos ? end : end - at_);
    at_ = end == text_.npos ? text_.size() : end + 1;
    return found;
  }
  bool has_ahead(char c) const { return text_.find(c, at_) != text_.npos; }
  std::string_view rest() const { return text_.substr(at_); }
  std::size_t place() const { return at_; }
  void go_to(std::size_t place) { at_ = place; }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
};

}  // namespace endpin::notation
