#pragma once

#include <algorithm>
#include <regex>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

namespace endpin {

/// Checks a document against the part of JSON Schema 2020-12 that docs/schema uses. A keyword that
/// it does not know is a complaint too, and so is a member that the schema does not describe.
class SchemaCheck {
 public:
  explicit SchemaCheck(const nlohmann::json& schema) : root_(schema) {}

  std::vector<std::string> complaints(const nlohmann::json& document) {
    found_.clear();
    check(root_, document, "");
    return found_;
  }

 private:
  using json = nlohmann::json;

  static bool has_type(const json& value, const std::string& type) {
    if (type == "object") return value.is_object();
    if (type == "array") return value.is_array();
    if (type == "string") return value.is_string();
    if (type == "integer") return value.is_number_integer();
    if (type == "number") return value.is_number();
    if (type == "boolean") return value.is_boolean();
    return type == "null" && value.is_null();
  }

  void complain(const std::string& place, const std::string& what) {
    found_.push_back((place.empty() ? "/" : place) + ": " + what);
  }

  void check_type(const json& type, const json& value, const std::string& place) {
    const json list = type.is_array() ? type : json::array({type});
    for (const auto& one : list) {
      if (has_type(value, one.get<std::string>())) return;
    }
    complain(place, "is not " + type.dump());
  }

  void check_members(const json& schema, const json& value, const std::string& place) {
    for (const auto& [name, member] : value.items()) {
      if (schema.contains("properties") && schema["properties"].contains(name)) {
        check(schema["properties"][name], member, place + "/" + name);
      } else if (schema.contains("additionalProperties")) {
        check(schema["additionalProperties"], member, place + "/" + name);
      } else {
        complain(place + "/" + name, "is not described");
      }
    }
    for (const auto& name : schema.value("required", json::array())) {
      if (!value.contains(name)) complain(place, "lacks " + name.get<std::string>());
    }
  }

  void check_keywords(const json& schema, const std::string& place) {
    static const std::vector<std::string> known{
        "$schema",     "$id",  "$defs",    "$ref",       "title",
        "description", "type", "required", "properties", "additionalProperties",
        "items",       "enum", "const",    "pattern"};
    for (const auto& [keyword, rest] : schema.items()) {
      if (std::find(known.begin(), known.end(), keyword) == known.end()) {
        complain(place, "the check does not know the keyword " + keyword);
      }
    }
  }

  void check(const json& schema, const json& value, const std::string& place) {
    check_keywords(schema, place);
    if (schema.contains("$ref")) {
      const std::string ref = schema["$ref"];
      return check(root_.at(json::json_pointer(ref.substr(1))), value, place);
    }
    if (schema.contains("type")) check_type(schema["type"], value, place);
    if (schema.contains("const") && value != schema["const"]) complain(place, "is another value");
    if (schema.contains("enum")) {
      const auto& list = schema["enum"];
      if (std::find(list.begin(), list.end(), value) == list.end()) {
        complain(place, value.dump() + " is none of " + list.dump());
      }
    }
    if (schema.contains("pattern") && value.is_string() &&
        !std::regex_search(value.get<std::string>(),
                           std::regex(schema["pattern"].get<std::string>()))) {
      complain(place, value.dump() + " does not match");
    }
    if (value.is_object()) check_members(schema, value, place);
    if (value.is_array() && schema.contains("items")) {
      for (std::size_t i = 0; i < value.size(); ++i) {
        check(schema["items"], value[i], place + "/" + std::to_string(i));
      }
    }
  }

  const json root_;
  std::vector<std::string> found_;
};

}  // namespace endpin
