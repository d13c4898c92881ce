#pragma once

#include <regex>
#include <set>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

/// Checks a JSON document against a schema of docs/schema: the keywords of JSON Schema 2020-12 that
/// stand there and no others. A member that the schema does not name is an error here, though it is
/// none for readers: what is written has to be documented.
namespace endpin::contracts {

class SchemaCheck {
 public:
  /// One line for each place that does not fit: "/notes/3/heard: number where object is asked for".
  static std::vector<std::string> errors(const nlohmann::json& schema,
                                         const nlohmann::json& document) {
    SchemaCheck check(schema);
    check.value(schema, document, "");
    return check.errors_;
  }

 private:
  using json = nlohmann::json;

  explicit SchemaCheck(const json& root) : root_(root) {}

  void fail(const std::string& at, const std::string& what) {
    errors_.push_back((at.empty() ? "/" : at) + ": " + what);
  }

  static bool is(const std::string& type, const json& v) {
    if (type == "integer") return v.is_number_integer();
    if (type == "number") return v.is_number();
    if (type == "string") return v.is_string();
    if (type == "boolean") return v.is_boolean();
    if (type == "array") return v.is_array();
    if (type == "object") return v.is_object();
    return type == "null" && v.is_null();
  }

  static bool has_type(const json& types, const json& v) {
    if (types.is_string()) return is(types.get<std::string>(), v);
    for (const auto& t : types) {
      if (is(t.get<std::string>(), v)) return true;
    }
    return false;
  }

  void value(const json& schema, const json& v, const std::string& at) {
    if (schema.contains("$ref")) {
      const auto ref = schema["$ref"].get<std::string>();  // "#/$defs/name"
      return value(root_.at(json::json_pointer(ref.substr(1))), v, at);
    }
    static const std::set<std::string> known{
        "$schema", "$id",      "$defs",      "title",       "description",
        "type",    "required", "properties", "const",       "enum",
        "items",   "minimum",  "maximum",    "prefixItems", "additionalProperties",
        "pattern"};
    for (const auto& [keyword, unused] : schema.items()) {
      if (!known.contains(keyword)) fail(at, "the schema's " + keyword + " is not checked");
    }
    if (schema.contains("type") && !has_type(schema["type"], v)) {
      return fail(at,
                  std::string(v.type_name()) + " where " + schema["type"].dump() + " is asked for");
    }
    if (schema.contains("const") && v != schema["const"]) fail(at, "not " + schema["const"].dump());
    if (schema.contains("pattern") && v.is_string()) matches(schema["pattern"], v, at);
    if (schema.contains("enum")) one_of(schema["enum"], v, at);
    if (schema.contains("minimum") && v.is_number() && v < schema["minimum"]) fail(at, "too small");
    if (schema.contains("maximum") && v.is_number() && v > schema["maximum"]) fail(at, "too large");
    if (v.is_object()) members(schema, v, at);
    if (v.is_array()) places(schema, v, at);
  }

  void one_of(const json& values, const json& v, const std::string& at) {
    if (std::find(values.begin(), values.end(), v) == values.end()) fail(at, v.dump() + " is none");
  }

  void matches(const json& pattern, const json& v, const std::string& at) {
    const std::regex wanted(pattern.get<std::string>());
    if (!std::regex_search(v.get<std::string>(), wanted)) fail(at, v.dump() + " does not match");
  }

  void members(const json& schema, const json& object, const std::string& at) {
    for (const auto& name : schema.value("required", json::array())) {
      if (!object.contains(name)) fail(at, name.get<std::string>() + " is missing");
    }
    const json none = json::object();
    const json& known = schema.contains("properties") ? schema["properties"] : none;
    for (const auto& [name, v] : object.items()) {
      if (known.contains(name)) {
        value(known[name], v, at + "/" + name);
      } else if (schema.contains("additionalProperties")) {
        value(schema["additionalProperties"], v, at + "/" + name);
      } else {
        fail(at, name + " is not documented");
      }
    }
  }

  void places(const json& schema, const json& array, const std::string& at) {
    for (std::size_t i = 0; i < array.size(); ++i) {
      const bool own = schema.contains("prefixItems") && i < schema["prefixItems"].size();
      if (own) value(schema["prefixItems"][i], array[i], at + "/" + std::to_string(i));
      if (!own && schema.contains("items")) {
        value(schema["items"], array[i], at + "/" + std::to_string(i));
      }
    }
  }

  const json& root_;
  std::vector<std::string> errors_;
};

}  // namespace endpin::contracts
