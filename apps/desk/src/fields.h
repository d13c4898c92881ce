#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include <nlohmann/json.hpp>

#include "call.h"

namespace endpin::desk {

using Json = nlohmann::json;

/// Text that may hold any bytes from files: what is not UTF-8 is replaced.
std::string dump(const Json& json);
Answer json_answer(const Json& json, int status = 200);

template <typename T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

/// The members of a request's JSON, each checked as it is taken. Members that are not there leave
/// their target alone; the first wrong one is kept as the problem.
class Fields {
 public:
  /// Reads the body, at most 1 MiB; an empty one is an empty object.
  explicit Fields(const Call& call);
  /// Of an object that has been read already, as one entry of a list.
  explicit Fields(Json members) : json_(std::move(members)) {}

  bool has(const char* name) const { return json_.contains(name); }
  Fields& text(const char* name, std::string& target, std::size_t longest = 200);
  Fields& name(const char* name, std::string& target);  ///< not empty
  Fields& one_of(const char* name, std::string& target, const std::vector<std::string>& allowed);
  Fields& flag(const char* name, bool& target);
  Fields& integer(const char* name, int& target, int least, int most);
  Fields& maybe_integer(const char* name, std::optional<int>& target, int least, int most);
  Fields& maybe_real(const char* name, std::optional<double>& target, double least, double most);
  Fields& maybe_text(const char* name, std::optional<std::string>& target,
                     std::size_t longest = 200);
  Fields& date(const char* name, std::string& target);
  Fields& maybe_id(const char* name, std::optional<book::Id>& target);
  Fields& ids(const char* name, std::vector<book::Id>& target);
  Fields& require(const char* name);
  void wrong(const std::string& name, const std::string& what);

  const Json& json() const { return json_; }
  const std::optional<Answer>& problem() const { return problem_; }

 private:
  const Json* find(const char* name) const;
  Json json_ = Json::object();
  std::optional<Answer> problem_;
};

/// Numbers of a query; the answer is the refusal.
std::variant<std::optional<double>, Answer> query_number(const Call& call, const std::string& name,
                                                         double least, double most);
/// Nothing: not given. 0: not an id.
std::optional<book::Id> query_id(const Call& call, const std::string& name);
bool query_flag(const Call& call, const std::string& name);

extern const std::vector<std::string> instrument_names;
extern const std::vector<std::string> size_names;
extern const std::vector<std::string> language_names;

}  // namespace endpin::desk
