#include "call.h"

#include <nlohmann/json.hpp>

#include "endpin/book/upload.h"

namespace endpin::desk {

std::optional<std::string> Call::query_text(const std::string& name) const {
  const auto found = query.find(name);
  if (found == query.end() || found->second.empty()) return std::nullopt;
  return found->second;
}

book::Id Call::id() const { return words.empty() ? 0 : parse_id(words.front()); }

book::Id parse_id(std::string_view text) {
  if (text.empty() || text.size() > 15) return 0;
  book::Id id = 0;
  for (const char c : text) {
    if (c < '0' || c > '9') return 0;
    id = id * 10 + (c - '0');
  }
  return id;
}

std::string attachment(const std::string& file_name) {
  std::string encoded;
  for (const char c : file_name) {
    const auto code = static_cast<unsigned char>(c);
    const bool plain = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') ||
                       c == '.' || c == '-' || c == '_';
    if (plain) {
      encoded += c;
    } else {
      encoded += '%';
      encoded += "0123456789ABCDEF"[code >> 4];
      encoded += "0123456789ABCDEF"[code & 15];
    }
  }
  return "attachment; filename*=UTF-8''" + encoded;
}

Answer refuse(int status, const Error& error) {
  Answer answer;
  answer.status = status;
  const nlohmann::json said{{"file", error.file},
                            {"place", error.place},
                            {"what", error.what},
                            {"remedy", error.remedy},
                            {"line", error.line()}};
  answer.body = nlohmann::json{{"error", said}}.dump(-1, ' ', false,
                                                     nlohmann::json::error_handler_t::replace);
  return answer;
}

Answer refuse(const Error& error) {
  if (error.kind == ErrorKind::input) return refuse(422, error);
  if (error.kind == ErrorKind::usage) return refuse(400, error);
  return refuse(error.what.find("disk is full") != std::string::npos ? 507 : 500, error);
}

Answer refuse_value(const std::string& place, const std::string& what, const std::string& remedy) {
  return refuse(400, Error{ErrorKind::usage, "", place, what, remedy});
}

Answer no_such(const std::string& thing) {
  return refuse(404, Error{ErrorKind::input, "", "", "there is no such " + thing,
                           "It may have been deleted: read the list again."});
}

Answer no_content() {
  Answer answer;
  answer.status = 204;
  answer.type.clear();
  return answer;
}

Answer tagged(const Call& call, std::string content, std::string type) {
  Answer answer;
  answer.type = std::move(type);
  const std::string tag = '"' + book::sha256(content).substr(0, 32) + '"';
  answer.with("ETag", tag).with("Cache-Control", "no-cache");
  if (call.header("If-None-Match").find(tag) != std::string::npos) {
    answer.status = 304;
    answer.type.clear();
  } else {
    answer.body = std::move(content);
  }
  return answer;
}

}  // namespace endpin::desk
