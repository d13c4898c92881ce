#include <set>

#include "endpin/hearing/hearing.h"
#include "endpin/listen/findings.h"

#include "book_json.h"
#include "services.h"
#include "take_items.h"

namespace endpin::desk {
namespace {

constexpr std::size_t longest_words = 5000;

/// Runs `then` with the take, or answers that there is none.
template <typename Then>
Answer with_take(const Services& s, const Call& call, const Then& then) {
  const auto take = s.book.takes().find(call.id());
  if (!take) return refuse(take.error());
  if (!*take) return no_such("take");
  return then(**take);
}

Json to_json(const book::Decision& d) {
  return {{"finding", d.finding}, {"verdict", d.verdict}, {"words", d.words}, {"at", d.at}};
}

Answer decisions(const Services& s, book::Id take) {
  const auto found = s.book.words().decisions(take);
  if (!found) return refuse(found.error());
  Json list = Json::array();
  for (const book::Decision& decision : *found) list.push_back(to_json(decision));
  return json_answer({{"decisions", list}});
}

Answer decide(const Services& s, const Call& call) {
  return with_take(s, call, [&](const book::Take& take) {
    book::Decision decision;
    decision.finding = call.words.at(1);
    Fields fields(call);
    fields.require("verdict")
        .one_of("verdict", decision.verdict, {"accepted", "reworded", "rejected"})
        .text("words", decision.words, longest_words);
    if (decision.finding.size() > 200) fields.wrong("finding", "no such finding");
    if (decision.verdict == "reworded" && decision.words.empty()) {
      fields.wrong("words", "empty, though the finding is reworded");
    }
    if (fields.problem()) return *fields.problem();
    decision.at = book::utc(s.book.clock()());
    const auto kept = s.book.words().decide(take.id, decision);
    return kept ? json_answer(to_json(decision)) : refuse(kept.error());
  });
}

Answer undecide(const Services& s, const Call& call) {
  const auto gone = s.book.words().undecide(call.id(), call.words.at(1));
  if (!gone) return refuse(gone.error());
  return *gone ? no_content() : no_such("decision");
}

Language language_of_student(const Services& s, const book::Take& take) {
  const auto student = s.book.students().find(take.student.value_or(0));
  const auto own = student && *student ? find_language((*student)->language) : std::nullopt;
  return own.value_or(language_of(s.book));
}

// In words for a child, without figures and without blame: the take-home page's. Of one message of
// a kind, or else of all of them.
std::string to_student(const Finding& finding, Language language) {
  constexpr std::string_view of_desk = "finding.";
  Finding plain;
  plain.message_args = {{"bars", finding.bars}};
  const std::string own = finding.message_key.starts_with(of_desk)
                              ? finding.message_key.substr(of_desk.size())
                              : std::string();
  for (const std::string& which : {own, std::string(name(finding.kind))}) {
    plain.message_key = "said." + which;
    if (!catalogue_text(plain.message_key, language).empty()) return says(plain, language);
  }
  return says(finding, language);
}

// A finding as the student reads it: that of an exercise says of which.
struct Sayable {
  Finding finding;
  std::string text;
};

std::vector<Sayable> sayable(const Services& s, const book::Take& take, Language language) {
  std::vector<Sayable> all;
  const auto folder = s.book.takes().folder(take);
  for (const HeardItem& item : heard_items(folder)) {
    const auto hearing = hearing_of(folder, item.item);
    if (!hearing) continue;
    const std::string of = item.item == 0 ? "" : say(item.title, language) + ": ";
    for (const Finding& finding : hearing->findings) {
      all.push_back({finding, of + to_student(finding, language)});
    }
  }
  return all;
}

// What is good first, then at most three things to work on: a child can keep no more in mind.
Result<std::string> proposed_message(const Services& s, const book::Take& take) {
  const auto decided = s.book.words().decisions(take.id);
  if (!decided) return Unexpected(decided.error());
  std::map<std::string, book::Decision> by_finding;
  for (const book::Decision& d : *decided) by_finding[d.finding] = d;
  const auto all = sayable(s, take, language_of_student(s, take));
  std::string message;
  for (const Tone wanted : {Tone::good, Tone::work}) {
    int said = 0;
    for (const auto& [finding, text] : all) {
      const auto at = by_finding.find(finding.id);
      const std::string verdict = at == by_finding.end() ? "" : at->second.verdict;
      if (tone(finding.kind) != wanted || verdict == "rejected" || said == 3) continue;
      message += (message.empty() ? "" : "\n") + (verdict == "reworded" ? at->second.words : text);
      ++said;
    }
  }
  return message;
}

Answer message(const Services& s, const book::Take& take) {
  const auto written = s.book.words().message(take.id);
  if (!written) return refuse(written.error());
  if (*written) return json_answer({{"words", **written}, {"origin", "teacher"}});
  const auto proposed = proposed_message(s, take);
  if (!proposed) return refuse(proposed.error());
  return json_answer({{"words", *proposed}, {"origin", "proposed"}});
}

Answer set_message(const Services& s, const Call& call) {
  return with_take(s, call, [&](const book::Take& take) {
    std::optional<std::string> words;
    Fields fields(call);
    fields.require("words").maybe_text("words", words, longest_words);
    if (fields.problem()) return *fields.problem();
    const auto kept = s.book.words().set_message(take.id, words);
    return kept ? message(s, take) : refuse(kept.error());
  });
}

Answer rubric(const Services& s, const book::Take& take) {
  const auto rows = s.book.words().rubric(take.id);
  if (!rows) return refuse(rows.error());
  const Json kept = Json::parse(*rows, nullptr, false);
  return json_answer({{"rows", kept.is_array() ? kept : Json::array()}});
}

Answer set_rubric(const Services& s, const Call& call) {
  return with_take(s, call, [&](const book::Take& take) {
    const Fields fields(call);
    if (fields.problem()) return *fields.problem();
    const Json given = fields.json().value("rows", Json());
    const std::string wrong = "not a list of at most 50 rows of name, mark and words";
    if (!given.is_array() || given.size() > 50) return refuse_value("rows", wrong, "Correct it.");
    Json rows = Json::array();
    for (const Json& row : given) {
      Json kept = Json::object();
      for (const char* name : {"name", "mark", "words"}) {
        if (!row.is_object() || !row.value(name, Json("")).is_string()) {
          return refuse_value("rows", wrong, "Correct it.");
        }
        kept[name] = row.value(name, std::string()).substr(0, longest_words);
      }
      rows.push_back(kept);
    }
    const auto kept = s.book.words().set_rubric(take.id, dump(rows));
    return kept ? rubric(s, take) : refuse(kept.error());
  });
}

Json to_json(const book::Remark& r) {
  return {{"id", r.id},
          {"words", r.words},
          {"kind", r.kind.empty() ? Json(nullptr) : Json(r.kind)},
          {"language", r.language}};
}

void read(Fields& fields, book::Remark& r) {
  std::optional<std::string> kind = r.kind;
  fields.text("words", r.words, longest_words)
      .text("language", r.language)
      .maybe_text("kind", kind);
  r.kind = kind.value_or("");
  if (r.words.empty()) fields.wrong("words", "empty");
}

Answer remarks(const Services& s) {
  const auto found = s.book.words().remarks();
  if (!found) return refuse(found.error());
  Json list = Json::array();
  for (const book::Remark& remark : *found) list.push_back(to_json(remark));
  return json_answer({{"remarks", list}});
}

Answer add_remark(const Services& s, const Call& call) {
  Fields fields(call);
  book::Remark remark;
  read(fields, remark);
  if (fields.problem()) return *fields.problem();
  const auto id = s.book.words().add_remark(remark);
  if (!id) return refuse(id.error());
  remark.id = *id;
  return json_answer(to_json(remark), 201);
}

Answer change_remark(const Services& s, const Call& call) {
  const auto all = s.book.words().remarks();
  if (!all) return refuse(all.error());
  for (book::Remark remark : *all) {
    if (remark.id != call.id()) continue;
    Fields fields(call);
    read(fields, remark);
    if (fields.problem()) return *fields.problem();
    const auto kept = s.book.words().change_remark(remark);
    return kept ? json_answer(to_json(remark)) : refuse(kept.error());
  }
  return no_such("remark");
}

Answer remove_remark(const Services& s, const Call& call) {
  const auto gone = s.book.words().remove_remark(call.id());
  if (!gone) return refuse(gone.error());
  return *gone ? no_content() : no_such("remark");
}

}  // namespace

void add_word_routes(Router& r, Services s) {
  r.add("GET", "/api/takes/{id}/decisions", [s](const Call& c) {
    return with_take(s, c, [&](const book::Take& take) { return decisions(s, take.id); });
  });
  r.add("PUT", "/api/takes/{id}/decisions/{finding}", [s](const Call& c) { return decide(s, c); });
  r.add("DELETE", "/api/takes/{id}/decisions/{finding}",
        [s](const Call& c) { return undecide(s, c); });
  r.add("GET", "/api/takes/{id}/message", [s](const Call& c) {
    return with_take(s, c, [&](const book::Take& take) { return message(s, take); });
  });
  r.add("PUT", "/api/takes/{id}/message", [s](const Call& c) { return set_message(s, c); });
  r.add("GET", "/api/takes/{id}/rubric", [s](const Call& c) {
    return with_take(s, c, [&](const book::Take& take) { return rubric(s, take); });
  });
  r.add("PUT", "/api/takes/{id}/rubric", [s](const Call& c) { return set_rubric(s, c); });
  r.add("GET", "/api/remarks", [s](const Call&) { return remarks(s); });
  r.add("POST", "/api/remarks", [s](const Call& c) { return add_remark(s, c); });
  r.add("PATCH", "/api/remarks/{id}", [s](const Call& c) { return change_remark(s, c); });
  r.add("DELETE", "/api/remarks/{id}", [s](const Call& c) { return remove_remark(s, c); });
}

}  // namespace endpin::desk
