#include "lesson_order.h"

#include <algorithm>

#include "endpin/pages/take_home.h"

#include "fields.h"
#include "take_items.h"

namespace endpin::desk {
namespace {

// A lesson outlives the recording: it keeps what is to be practised and no more.
Finding kind_and_bars(const Finding& finding) {
  Finding kept;
  kept.kind = finding.kind;
  kept.bars = finding.bars;
  kept.confidence = finding.confidence;
  const auto twin = finding.message_args.find("twin");
  if (twin != finding.message_args.end()) kept.message_args.insert(*twin);
  return kept;
}

// Those for a kind of finding in the sheet's language; the others are for messages.
Result<std::vector<Remark>> remarks_for_goals(book::Book& book, Language language) {
  const auto kept = book.words().remarks();
  if (!kept) return Unexpected(kept.error());
  std::vector<Remark> remarks;
  for (const book::Remark& remark : *kept) {
    const auto kind = finding_kind(remark.kind);
    if (kind && remark.language == tag(language)) remarks.push_back({remark.words, kind});
  }
  return remarks;
}

}  // namespace

Result<Hearing> answerable(book::Book& book, const book::Take& take) {
  Hearing kept;
  if (take.state != book::TakeState::heard) return kept;
  const auto decided = book.words().decisions(take.id);
  if (!decided) return Unexpected(Error(decided.error()));
  const auto rejected = [&](const Finding& finding) {
    return std::any_of(decided->begin(), decided->end(), [&](const book::Decision& d) {
      return d.finding == finding.id && d.verdict == "rejected";
    });
  };
  const auto folder = book.takes().folder(take);
  for (const HeardItem& item : heard_items(folder)) {
    const auto hearing = hearing_of(folder, item.item);
    if (!hearing) return Unexpected(Error(hearing.error()));
    for (const Finding& finding : hearing->findings) {
      if (tone(finding.kind) != Tone::work || rejected(finding)) continue;
      kept.findings.push_back(kind_and_bars(finding));
      // Bars of an exercise are its own: what helps is practising the piece's bars that it is for.
      if (item.item != 0) kept.findings.back().bars = item.bars;
    }
    if (item.item != 0) continue;
    kept.tempo.clean_bpm = hearing->tempo.clean_bpm;
    kept.tempo.beat_unit = hearing->tempo.beat_unit;
  }
  return kept;
}

Hearing answered_by(const book::Lesson& lesson) {
  return hearing_from_json(lesson.answers).value_or(Hearing{});
}

Result<app::LessonOrder> lesson_order(book::Book& book, const MarkedScore& marked,
                                      const book::Piece& piece, Language language,
                                      const Hearing& heard) {
  auto remarks = remarks_for_goals(book, language);
  if (!remarks) return Unexpected(std::move(remarks).error());
  app::LessonOrder order;
  order.input = *marked.score;
  order.step = piece.step;
  order.teacher = marked.teacher;
  order.rules = marked.rules;
  order.remarks = std::move(*remarks);
  order.goal_per_minute = piece.tempo_bpm;
  order.language = language;
  app::answer(order, heard);
  return order;
}

Result<app::LessonOrder> lesson_order(book::Book& book, MarkedScores& scores,
                                      const book::Piece& piece, const book::Lesson& lesson) {
  const auto marked = scores.get(piece);
  if (!marked) return Unexpected(marked.error());
  auto order = lesson_order(book, **marked, piece, language_of(book), answered_by(lesson));
  if (!order) return order;
  if (lesson.tempo_bpm) order->goal_per_minute = lesson.tempo_bpm;
  const Json items = Json::parse(lesson.items, nullptr, false);
  if (items.is_array()) order->items = items.get<std::vector<std::string>>();
  order->paper = lesson.paper == "letter" ? app::Paper::letter : app::Paper::a4;
  order->may_say = kinds_to_say(lesson);
  order->date = lesson.date;
  order->note = lesson.note;
  return order;
}

std::vector<std::string> kinds_to_say(const book::Lesson& lesson) {
  const Json chosen = Json::parse(lesson.may_say.value_or(""), nullptr, false);
  return chosen.is_array() ? chosen.get<std::vector<std::string>>() : app::usual_kinds_to_say();
}

Language language_of(book::Book& book) {
  const auto settings = book.settings();
  const auto chosen = settings ? find_language(settings->language) : std::nullopt;
  return chosen.value_or(Language::en_us);
}

}  // namespace endpin::desk
