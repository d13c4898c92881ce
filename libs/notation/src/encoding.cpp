#include "encoding.h"

#include <cstdint>
#include <cstring>

namespace endpin::notation {
namespace {

enum class Order { little, big };

unsigned byte(std::string_view bytes, std::size_t at) {
  return static_cast<unsigned char>(bytes[at]);
}

char32_t unit(std::string_view bytes, std::size_t at, Order order) {
  const unsigned first = byte(bytes, at);
  const unsigned second = byte(bytes, at + 1);
  return order == Order::big ? first << 8 | second : second << 8 | first;
}

std::string from_utf16(std::string_view bytes, Order order) {
  std::string text;
  text.reserve(bytes.size() / 2 + 16);
  for (std::size_t at = 0; at + 1 < bytes.size(); at += 2) {
    char32_t c = unit(bytes, at, order);
    const bool high = c >= 0xD800 && c < 0xDC00;
    const char32_t next = high && at + 3 < bytes.size() ? unit(bytes, at + 2, order) : 0;
    if (high && next >= 0xDC00 && next < 0xE000) {
      c = 0x10000 + ((c - 0xD800) << 10) + (next - 0xDC00);
      at += 2;
    } else if (c >= 0xD800 && c < 0xE000) {
      c = 0xFFFD;
    }
    append_utf8(text, c);
  }
  return text;
}

std::string from_latin1(std::string_view bytes) {
  std::string text;
  text.reserve(bytes.size() + bytes.size() / 8);
  for (std::size_t at = 0; at < bytes.size(); ++at) append_utf8(text, byte(bytes, at));
  return text;
}

/// How many bytes at the beginning are ASCII, to a multiple of eight.
std::size_t plain_bytes(std::string_view bytes) {
  constexpr std::uint64_t high_bits = 0x8080808080808080U;
  std::size_t at = 0;
  for (; at + sizeof(std::uint64_t) <= bytes.size(); at += sizeof(std::uint64_t)) {
    std::uint64_t eight = 0;
    std::memcpy(&eight, bytes.data() + at, sizeof eight);
    if ((eight & high_bits) != 0) break;
  }
  return at;
}

/// How many bytes follow a first byte; -1 if none may start with it.
int following(unsigned first) {
  if (first < 0x80) return 0;
  if (first >= 0xC2 && first < 0xE0) return 1;
  if (first >= 0xE0 && first < 0xF0) return 2;
  return first >= 0xF0 && first < 0xF5 ? 3 : -1;
}

}  // namespace

void append_utf8(std::string& text, char32_t c) {
  const auto put = [&](char32_t v) { text += static_cast<char>(static_cast<unsigned char>(v)); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | c >> 6);
    put(0x80 | (c & 0x3F));
  } else if (c < 0x10000) {
    put(0xE0 | c >> 12);
    put(0x80 | (c >> 6 & 0x3F));
    put(0x80 | (c & 0x3F));
  } else {
    put(0xF0 | c >> 18);
    put(0x80 | (c >> 12 & 0x3F));
    put(0x80 | (c >> 6 & 0x3F));
    put(0x80 | (c & 0x3F));
  }
}

bool is_utf8(std::string_view bytes) {
  for (std::size_t at = plain_bytes(bytes); at < bytes.size(); ++at) {
    const int more = following(byte(bytes, at));
    if (more == 0) continue;
    if (more < 0 || at + static_cast<std::size_t>(more) >= bytes.size()) return false;
    for (int i = 0; i < more; ++i) {
      if ((byte(bytes, ++at) & 0xC0) != 0x80) return false;
    }
  }
  return true;
}

std::string to_utf8(std::string_view bytes) {
  using namespace std::string_view_literals;
  if (bytes.starts_with("\xFF\xFE"sv)) return from_utf16(bytes.substr(2), Order::little);
  if (bytes.starts_with("\xFE\xFF"sv)) return from_utf16(bytes.substr(2), Order::big);
  if (bytes.starts_with("<\0"sv)) return from_utf16(bytes, Order::little);
  if (bytes.starts_with("\0<"sv)) return from_utf16(bytes, Order::big);
  if (bytes.starts_with("\xEF\xBB\xBF"sv)) bytes.remove_prefix(3);
  return is_utf8(bytes) ? std::string(bytes) : from_latin1(bytes);
}

}  // namespace endpin::notation
