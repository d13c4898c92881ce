#include <algorithm>
#include <map>

#include "endpin/study/study.h"
#include "endpin/words/note_names.h"

#include "sections.h"

namespace endpin {
namespace {

using study_internal::letter;

class Lines {
 public:
  Lines(Language language, int most) : language_(language), left_(most) {}
  void add(const Sentence& sentence) { add_text(say(sentence, language_)); }
  void add_text(const std::string& text) {
    if (left_-- > 0) text_ += text + "\n";
  }
  int left() const { return left_; }
  const std::string& text() const { return text_; }

 private:
  Language language_;
  int left_;
  std::string text_;
};

constexpr double near_margin = 0.1;

void add_heading(Lines& lines, const Study& s, Language language) {
  const std::string title = s.title.empty() ? "" : s.title + " · ";
  lines.add_text(
      title + say("instrument." + s.instrument, language) + " · " + say(s.key.says, language) +
      " · " + std::to_string(s.metre.beats) + "/" + std::to_string(s.metre.beat_type) + " · " +
      duration_name(s.tempo.beat_unit, language) + " = " + std::to_string(s.tempo.target));
  if (!s.key.disagreement.empty()) lines.add(s.key.disagreement);
  if (s.key.margin < near_margin) {
    lines.add({"study.key.near", {{"key", say(key_sentence(s.key.second), language)}}});
  }
}

constexpr std::size_t most_altered = 8;

// "142 mm": a hand cannot be placed more exactly.
std::string distance(const AlteredNote& note) {
  return note.from_nut_mm ? ", " + argument(*note.from_nut_mm, 0) + " mm" : "";
}

// "F♯3 (3 on D), C♯4 (3 on A, 142 mm)": each note once, where it lies.
std::string altered_list(const Study& s, bool in_signature, Language language) {
  std::vector<std::string> items;
  for (const AlteredNote& note : s.altered) {
    if (note.in_signature != in_signature) continue;
    std::string item = note_name_with_octave(note.pitch, language);
    if (!note.where.empty()) item += " (" + say(note.where, language) + distance(note) + ")";
    items.push_back(item);
  }
  if (items.size() > most_altered) items.resize(most_altered), items.emplace_back("…");
  return join_list(items, language);
}

void add_altered(Lines& lines, const Study& s, Language language) {
  const std::string signature = altered_list(s, true, language);
  if (!signature.empty()) lines.add({"study.altered.signature", {{"notes", signature}}});
  const std::string accidental = altered_list(s, false, language);
  if (!accidental.empty()) lines.add({"study.altered.accidental", {{"notes", accidental}}});
}

constexpr std::size_t most_bars = 4;

// "measures 4, 8 and 16", in the order of the piece; the first four where there are more.
std::string bars_text(const Study& s, std::vector<std::string> bars, Language language) {
  const auto place = [&](const std::string& bar) {
    const auto& all = s.counting.bars;
    return std::find_if(all.begin(), all.end(), [&](const CountedBar& b) { return b.bar == bar; });
  };
  std::stable_sort(bars.begin(), bars.end(),
                   [&](const auto& a, const auto& b) { return place(a) < place(b); });
  bars.erase(std::unique(bars.begin(), bars.end()), bars.end());
  const bool more = bars.size() > most_bars + 2;
  if (more) bars.resize(most_bars);
  const std::string text = say({"word.in_bars", {{"bars", argument(bars)}}}, language);
  return more ? text + " …" : text;
}

// "Step: extensions (dotted rhythms: measures 4, 8 and 16)."
void add_step(Lines& lines, const Study& s, Language language) {
  std::vector<std::string> reasons;
  for (const StepDemand::Reason& reason : s.step.reasons) {
    reasons.push_back(say(
        {"study.step.reason",
         {{"reason", say(reason.says, language)}, {"bars", bars_text(s, reason.bars, language)}}},
        language));
    if (reasons.size() == 3) break;
  }
  std::string all;
  for (const std::string& reason : reasons) all += (all.empty() ? "" : "; ") + reason;
  lines.add({"study.step.line", {{"step", "step." + s.step.step}, {"reasons", all}}});
}

void add_range(Lines& lines, const Study& s, Language language) {
  if (!s.range || s.range->outside.empty()) return;
  std::vector<std::string> names;
  for (const SpelledPitch& pitch : s.range->outside) {
    names.push_back(note_name_with_octave(pitch, language));
  }
  if (names.size() > 6) names.resize(6), names.emplace_back("…");
  lines.add({"study.range.outside",
             {{"notes", argument(names)}, {"instrument", "instrument." + s.instrument}}});
}

// "2", "1½", "¾": clicks as one would write them by hand.
std::string clicks_text(Beats clicks) {
  static const std::map<Beats, std::string> parts{
      {Beats(1, 2), "½"}, {Beats(1, 4), "¼"}, {Beats(3, 4), "¾"}, {Beats(1, 3), "⅓"},
      {Beats(2, 3), "⅔"}, {Beats(1, 8), "⅛"}, {Beats(3, 8), "⅜"}};
  const std::int64_t whole = clicks.numerator() / clicks.denominator();
  const auto part = parts.find(clicks - Beats(whole));
  if (part == parts.end()) return clicks.text();
  return (whole > 0 ? std::to_string(whole) : "") + part->second;
}

void add_values(Lines& lines, const Study& s, Language language) {
  std::vector<std::string> items;
  for (const ValueUse& value : s.values) {
    if (value.notes == 0 || value.key.empty()) continue;
    Sentence item{"study.value.held",
                  {{"value", value.key}, {"clicks", clicks_text(value.clicks)}}};
    if (value.clicks.numerator() == 1 && value.clicks.denominator() > 1) {
      item.key = "study.value.divided";
      item.args["clicks"] = std::to_string(value.clicks.denominator());
    }
    items.push_back(say(item, language));
  }
  lines.add({"study.value.line", {{"values", join_list(items, language)}}});
}

constexpr std::size_t most_phrases = 12;

// "Form: A 1–4, A′ 5–8, B 9–12 (×2)."
void add_form(Lines& lines, const Study& s) {
  std::vector<std::string> items;
  for (const FormPhrase& phrase : s.form.phrases) {
    const std::string bars = phrase.from == phrase.to ? phrase.from : phrase.from + "–" + phrase.to;
    const std::string times = phrase.times > 1 ? " (×" + std::to_string(phrase.times) + ")" : "";
    items.push_back(phrase_name(phrase) + " " + bars + times);
    if (items.size() == most_phrases && s.form.phrases.size() > most_phrases) {
      items.emplace_back("…");
      break;
    }
  }
  if (s.form.phrases.size() < 2) return;
  std::string list;
  for (const std::string& item : items) list += (list.empty() ? "" : " · ") + item;
  lines.add({"study.form.line", {{"phrases", list}}});
}

// The hardest bar, its syllables under its notes.
void add_counting(Lines& lines, const Study& s, Language language) {
  if (!s.counting.hardest || lines.left() < 3) return;
  const CountedBar& bar = s.counting.bars[*s.counting.hardest];
  lines.add({"study.counting.line",
             {{"bars", bar.bar}, {"scheme", "count.scheme." + s.counting.scheme}}});
  const std::string text = describe(bar, language);
  const std::size_t end = text.find('\n');
  lines.add_text("  " + text.substr(0, end));
  lines.add_text("  " + text.substr(end + 1, text.size() - end - 2));
}

void add_tempo(Lines& lines, const Study& s) {
  std::vector<std::string> rungs;
  for (const int mark : s.tempo.ladder) rungs.push_back(argument(mark));
  lines.add({s.tempo.from_score ? "study.tempo.given" : "study.tempo.proposed",
             {{"target", argument(s.tempo.target)}, {"ladder", argument(rungs)}}});
}

constexpr std::size_t most_spots = 10;
constexpr int most_of_a_kind = 3;  // so that no kind fills the page

struct GatheredSpots {
  const Spot* first = nullptr;
  std::vector<std::string> bars;
};

// Spots of one reason together, the heaviest first.
std::vector<GatheredSpots> gathered(const Study& s) {
  std::vector<GatheredSpots> list;
  for (const Spot& spot : s.spots) {
    const auto same = std::find_if(list.begin(), list.end(), [&](const GatheredSpots& g) {
      return spot.kind != "twin-bar" && g.first->reason == spot.reason;
    });
    if (same == list.end()) {
      list.push_back({&spot, {spot.bar}});
    } else {
      same->bars.push_back(spot.bar);
    }
  }
  return list;
}

void add_spots(Lines& lines, const Study& s, Language language) {
  std::map<std::string_view, int> of_kind;
  std::size_t shown = 0;
  for (const GatheredSpots& g : gathered(s)) {
    if (of_kind[g.first->kind]++ >= most_of_a_kind || shown == most_spots) continue;
    if (shown++ == 0) lines.add({"study.spots.heading", {}});
    const std::string reason = say(g.first->reason, language);
    if (g.first->kind == "twin-bar") {
      lines.add_text("  " + reason);
      continue;
    }
    const Sentence line{"study.spots.line",
                        {{"where", bars_text(s, g.bars, language)}, {"reason", reason}}};
    lines.add_text("  " + say(line, language));
  }
}

}  // namespace

std::string describe(const Study& s, Language language, int most_lines) {
  Lines lines(language, most_lines);
  add_heading(lines, s, language);
  add_range(lines, s, language);
  add_altered(lines, s, language);
  add_step(lines, s, language);
  add_tempo(lines, s);
  add_form(lines, s);
  add_spots(lines, s, language);
  add_values(lines, s, language);
  add_counting(lines, s, language);
  return lines.text();
}

}  // namespace endpin
