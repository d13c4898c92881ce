#include "fields.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "endpin/book/book.h"

namespace endpin::desk {

const std::vector<std::string> instrument_names{"violin", "viola", "cello", "bass"};
const std::vector<std::string> size_names{"4/4", "7/8", "3/4", "1/2", "1/4", "1/8", "1/10", "1/16"};
const std::vector<std::string> language_names{"en-US", "en-GB", "de", "fr", "es", "it", "pt"};

namespace {

constexpr std::int64_t largest_json = 1 << 20;

// Beyond any body of ours; the parser calls itself at each level.
constexpr int deepest_json = 32;

bool too_deep(const std::string& text) {
  int depth = 0;
  bool quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (quoted && text[i] == '\\') {
      ++i;
    } else if (text[i] == '"') {
      quoted = !quoted;
    } else if (!quoted && (text[i] == '{' || text[i] == '[')) {
      if (++depth > deepest_json) return true;
    } else if (!quoted && (text[i] == '}' || text[i] == ']')) {
      --depth;
    }
  }
  return false;
}

}  // namespace

std::string dump(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Answer json_answer(const Json& json, int status) {
  Answer answer;
  answer.status = status;
  answer.body = dump(json);
  return answer;
}

Fields::Fields(const Call& call) {
  std::string text;
  bool fits = call.body_bytes <= largest_json;
  const bool ended = fits && call.read_body([&](std::string_view piece) {
    fits = static_cast<std::int64_t>(text.size() + piece.size()) <= largest_json;
    if (fits) text += piece;
    return fits;
  });
  if (!fits) {
    problem_ = refuse(413, Error{ErrorKind::usage, "", "body", "larger than 1 MiB", "Send less."});
  } else if (!ended) {
    problem_ = refuse_value("body", "it did not arrive whole", "Send it again.");
  } else if (!text.empty()) {
    json_ = too_deep(text) ? Json() : Json::parse(text, nullptr, false);
    if (json_.is_object()) return;
    json_ = Json::object();
    problem_ = refuse_value("body", "not a JSON object", "Send application/json in UTF-8.");
  }
}

const Json* Fields::find(const char* name) const {
  const auto found = json_.find(name);
  return found == json_.end() || problem_ ? nullptr : &*found;
}

void Fields::wrong(const std::string& name, const std::string& what) {
  if (!problem_) problem_ = refuse_value(name, what, "Correct it and send it again.");
}

Fields& Fields::text(const char* name, std::string& target, std::size_t longest) {
  if (const Json* value = find(name)) {
    if (!value->is_string()) return wrong(name, "not a text"), *this;
    const auto& given = value->get_ref<const std::string&>();
    if (given.size() > longest) {
      return wrong(name, fmt::format("longer than {} bytes", longest)), *this;
    }
    target = given;
  }
  return *this;
}

Fields& Fields::name(const char* name, std::string& target) {
  text(name, target);
  if (has(name) && target.find_first_not_of(" \t\n") == std::string::npos) wrong(name, "empty");
  return *this;
}

Fields& Fields::one_of(const char* name, std::string& target,
                       const std::vector<std::string>& allowed) {
  if (const Json* value = find(name)) {
    const auto found = std::find_if(allowed.begin(), allowed.end(),
                                    [&](const std::string& word) { return *value == word; });
    if (found == allowed.end()) {
      return wrong(name, fmt::format("not one of {}", fmt::join(allowed, ", "))), *this;
    }
    target = *found;
  }
  return *this;
}

Fields& Fields::flag(const char* name, bool& target) {
  if (const Json* value = find(name)) {
    if (!value->is_boolean()) return wrong(name, "neither true nor false"), *this;
    target = value->get<bool>();
  }
  return *this;
}

Fields& Fields::integer(const char* name, int& target, int least, int most) {
  if (const Json* value = find(name)) {
    const bool fits =
        value->is_number_integer() && value->get<double>() >= least && value->get<double>() <= most;
    if (!fits) {
      return wrong(name, fmt::format("not a whole number from {} to {}", least, most)), *this;
    }
    target = value->get<int>();
  }
  return *this;
}

Fields& Fields::maybe_integer(const char* name, std::optional<int>& target, int least, int most) {
  const Json* value = find(name);
  if (value == nullptr) return *this;
  if (value->is_null()) return target.reset(), *this;
  int number = 0;
  integer(name, number, least, most);
  if (!problem_) target = number;
  return *this;
}

Fields& Fields::maybe_real(const char* name, std::optional<double>& target, double least,
                           double most) {
  const Json* value = find(name);
  if (value == nullptr) return *this;
  if (value->is_null()) return target.reset(), *this;
  if (!value->is_number() || !(value->get<double>() >= least && value->get<double>() <= most)) {
    return wrong(name, fmt::format("not a number from {} to {}", least, most)), *this;
  }
  target = value->get<double>();
  return *this;
}

Fields& Fields::maybe_text(const char* name, std::optional<std::string>& target,
                           std::size_t longest) {
  const Json* value = find(name);
  if (value == nullptr) return *this;
  if (value->is_null()) return target.reset(), *this;
  std::string given;
  text(name, given, longest);
  if (!problem_) target = given;
  return *this;
}

Fields& Fields::date(const char* name, std::string& target) {
  if (const Json* value = find(name)) {
    if (!value->is_string() || !book::parse_date(value->get<std::string>())) {
      return wrong(name, "not a date such as 2026-03-01"), *this;
    }
    target = value->get<std::string>();
  }
  return *this;
}

Fields& Fields::maybe_id(const char* name, std::optional<book::Id>& target) {
  const Json* value = find(name);
  if (value == nullptr) return *this;
  if (value->is_null()) return target.reset(), *this;
  if (!value->is_number_integer() || value->get<double>() < 1) {
    return wrong(name, "not an id"), *this;
  }
  target = value->get<book::Id>();
  return *this;
}

Fields& Fields::ids(const char* name, std::vector<book::Id>& target) {
  const Json* list = find(name);
  if (list == nullptr) return *this;
  const bool fits = list->is_array() && list->size() <= 1000 &&
                    std::all_of(list->begin(), list->end(), [](const Json& value) {
                      return value.is_number_integer() && value.get<double>() >= 1;
                    });
  if (!fits) return wrong(name, "not a list of ids"), *this;
  target = list->get<std::vector<book::Id>>();
  return *this;
}

Fields& Fields::require(const char* name) {
  if (!has(name)) wrong(name, "missing");
  return *this;
}

std::variant<std::optional<double>, Answer> query_number(const Call& call, const std::string& name,
                                                         double least, double most) {
  const auto text = call.query_text(name);
  if (!text) return std::optional<double>();
  char* end = nullptr;
  const double value = std::strtod(text->c_str(), &end);
  if (*end == '\0' && value >= least && value <= most) return std::optional(value);
  return refuse_value(name, fmt::format("not a number from {} to {}", least, most),
                      "Correct it and ask again.");
}

std::optional<book::Id> query_id(const Call& call, const std::string& name) {
  const auto text = call.query_text(name);
  if (!text) return std::nullopt;
  return parse_id(*text);
}

bool query_flag(const Call& call, const std::string& name) {
  const auto text = call.query_text(name);
  return text && *text != "0" && *text != "false";
}

}  // namespace endpin::desk
