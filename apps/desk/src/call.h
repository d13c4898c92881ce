#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "endpin/base/result.h"
#include "endpin/book/students.h"

namespace endpin::desk {

/// One request, free of the HTTP library.
struct Call {
  std::string method;
  std::string path;                                     ///< decoded, without the query
  std::vector<std::string> words;                       ///< what stood in the route's braces
  std::map<std::string, std::string> query;             ///< of several of a name the first
  std::function<std::string(const char* name)> header;  ///< empty if it is not there
  std::string remote;                                   ///< the other side's IP address
  std::int64_t body_bytes = 0;                          ///< as announced

  using Sink = std::function<bool(std::string_view)>;
  /// Hands the body over in pieces until it ends or `sink` returns false; false if it did not end.
  std::function<bool(const Sink& sink)> read_body;

  std::optional<std::string> query_text(const std::string& name) const;
  /// The route's first word as an id; 0, which no row has, if it is none.
  book::Id id() const;
};

/// A file or part of it, sent as it is read.
struct FileBody {
  std::filesystem::path path;
};

/// What goes back.
struct Answer {
  int status = 200;
  std::string type = "application/json";
  std::string body;
  std::vector<std::pair<std::string, std::string>> headers;
  std::optional<FileBody> file;  ///< instead of `body`; takes Range
  /// Instead of `body`: called until it returns false, each time with a function that sends a piece
  /// and says whether the other side is still there.
  std::function<bool(const std::function<bool(std::string_view)>& send)> stream;

  Answer& with(std::string name, std::string value) {
    headers.emplace_back(std::move(name), std::move(value));
    return *this;
  }
};

/// The error as the interface says it.
Answer refuse(int status, const Error& error);
/// With the status that fits the kind of error: 422, 400, 500 or 507.
Answer refuse(const Error& error);
/// 400 about a parameter or a member of the JSON.
Answer refuse_value(const std::string& place, const std::string& what, const std::string& remedy);
/// 404.
Answer no_such(const std::string& thing);
Answer no_content();
/// `json` with an ETag of its content; 304 without a body if the client has it already.
Answer tagged(const Call& call, std::string json, std::string type = "application/json");

/// Content-Disposition of a file to be saved under its own name (RFC 6266, 8187).
std::string attachment(const std::string& file_name);
/// An id, digits alone; 0 if it is none.
book::Id parse_id(std::string_view text);

}  // namespace endpin::desk
