#include "endpin/lesson/drill.h"

#include <algorithm>
#include <array>
#include <utility>

#include "endpin/lesson/recipes.h"

namespace endpin {
namespace {

constexpr int longest_chain = 6;

bool pitched(const Phrase& line) {
  return std::any_of(line.begin(), line.end(), [](const LineNote& n) { return !!n.pitch; });
}

class Maker {
 public:
  Maker(const Material& material, const DrillPlace& place, const StringOf& string_of)
      : material_(material), place_(place), string_of_(string_of) {
    const Part& part = material.written();
    ground_ = ground_at(part, place.bar);
    for (int i = place.bar; i < place.bar + place.bars; ++i) {
      const Bar& bar = part.bars.at(static_cast<std::size_t>(i));
      numbers_.push_back(bar.number);
      lines_.push_back(line_of(bar));
    }
  }

  std::vector<Drill> make() {
    using Recipe = void (Maker::*)();
    const auto run = [&](std::initializer_list<Recipe> recipes) {
      for (const Recipe recipe : recipes) (this->*recipe)();
    };
    switch (place_.trouble) {
      case Trouble::rhythm:
        run({&Maker::rhythm, &Maker::counted, &Maker::alone});
        break;
      case Trouble::twin:
        run({&Maker::in_turn, &Maker::rhythm});
        break;
      case Trouble::crossing:
        run({&Maker::open_strings, &Maker::alone});
        break;
      case Trouble::shift:
        run({&Maker::shift, &Maker::growing_chain});
        break;
      case Trouble::reach:
        run({&Maker::growing_chain, &Maker::alone});
        break;
      case Trouble::slur:
        run({&Maker::slur_later, &Maker::alone});
        break;
      case Trouble::long_note:
        run({&Maker::counted, &Maker::alone});
        break;
      case Trouble::fast_notes:
        run({&Maker::dotted_variants, &Maker::slur_first, &Maker::growing_chain});
        break;
      case Trouble::bowing:
        run({&Maker::open_strings, &Maker::alone});
        break;
      case Trouble::intonation:
      case Trouble::notes:
        run({&Maker::growing_chain, &Maker::alone});
        break;
      case Trouble::separation:
        run({&Maker::rhythm, &Maker::alone});
        break;
      case Trouble::other:
        run({&Maker::alone, &Maker::growing_chain});
        break;
    }
    if (made_.empty()) alone();
    return std::move(made_);
  }

 private:
  Sentence sentence(std::string key) const {
    return {std::move(key), {{"bars", argument(numbers_)}}};
  }

  void add(const std::string& recipe, std::vector<Bar> music, bool repeat) {
    if (music.empty()) return;
    made_.push_back({recipe, sentence("drill." + recipe), sentence("drill." + recipe + ".why"),
                     numbers_, place_.bar, std::move(music), repeat});
  }

  Phrase whole_line() const {
    Phrase whole;
    for (const Phrase& line : lines_) whole.insert(whole.end(), line.begin(), line.end());
    return whole;
  }

  std::vector<Bar> laid(const std::vector<Phrase>& phrases) const {
    return lay_into_bars(phrases, ground_.time);
  }

  void alone() { add("alone", excerpt(material_.written(), place_.bar, place_.bars), true); }

  // On the open string that most of the place's notes lie on.
  void rhythm() {
    if (!pitched(whole_line())) return;
    std::array<int, 5> used{};
    for_each_note([&](const Note& note) { ++used[static_cast<std::size_t>(string_for(note))]; });
    const auto most = std::max_element(used.begin() + 1, used.end());
    const int string = static_cast<int>(most - used.begin());
    add("rhythm", laid({on_one_pitch(whole_line(), open_written(string))}), true);
    made_.back().title.args["string"] = string_letter(*material_.instrument, string);
  }

  void counted() {
    const Phrase line = whole_line();
    const Beats unit =
        beat_of(ground_.time) / Beats(beat_of(ground_.time).numerator() == 3 ? 3 : 2);
    const Phrase split = subdivided(line, unit);
    if (split.size() == line.size()) return;
    add("counted", laid({split, line}), false);
  }

  // The bar, its twin, and both again.
  void in_turn() {
    if (!place_.twin) return;
    std::vector<Bar> music = excerpt(material_.written(), place_.bar, place_.bars);
    std::vector<Bar> twin = excerpt(material_.written(), *place_.twin, place_.bars);
    const Bar& first = material_.written().bars.at(static_cast<std::size_t>(*place_.twin));
    numbers_.push_back(first.number);
    music.insert(music.end(), twin.begin(), twin.end());
    add("in-turn", std::move(music), true);
    numbers_.pop_back();
  }

  void shift() {
    const Phrase line = whole_line();
    if (!place_.note) return;
    const auto after = static_cast<std::size_t>(*place_.note);
    if (after == 0 || after >= line.size() || !line[after].pitch || !line[after - 1].pitch) return;
    const Phrase frame = shift_frame(line[after - 1], line[after], beat_of(ground_.time));
    add("shift", laid({frame, line}), true);
  }

  void open_strings() {
    const Phrase line = whole_line();
    if (!pitched(line)) return;
    std::vector<int> strings;
    for_each_note([&](const Note& note) { strings.push_back(string_for(note)); });
    const Phrase bow = on_open_strings(line, [&](int place) {
      const auto i = std::min(static_cast<std::size_t>(place), strings.size() - 1);
      return open_written(strings[i]);
    });
    add("open-strings", laid({bow}), true);
  }

  void growing_chain() {
    const auto chain = growing(whole_line(), longest_chain);
    if (chain.size() > 1) add("growing", laid(chain), false);
  }

  void slur_later() {
    const Phrase line = whole_line();
    const Phrase separate = without_slurs(line);
    const bool any =
        std::any_of(line.begin(), line.end(), [](const LineNote& n) { return n.slur_start; });
    if (any) add("slur-later", laid({separate, line}), true);
  }

  // Only where the line itself is in separate bows.
  void slur_first() {
    const Phrase line = whole_line();
    const auto slurs = [](const Phrase& phrase) {
      return std::any_of(phrase.begin(), phrase.end(),
                         [](const LineNote& n) { return n.slur_start; });
    };
    const Phrase slurred = slurred_by_beat(line, beat_of(ground_.time));
    if (!slurs(line) && slurs(slurred)) add("slur-first", laid({slurred, line}), true);
  }

  void dotted_variants() {
    const Phrase line = whole_line();
    for (const Beats value : {Beats(1, 2), Beats(1, 4), Beats(1)}) {
      const Phrase long_short = dotted(line, value, Dotting::long_short);
      const bool changed =
          std::any_of(long_short.begin(), long_short.end(),
                      [&](const LineNote& n) { return n.duration == value * Beats(3, 2); });
      if (!changed) continue;
      add("dotted", laid({long_short, dotted(line, value, Dotting::short_long), line}), false);
      return;
    }
  }

  // The notes of the line, in order; those of a chord once.
  template <typename Visit>
  void for_each_note(Visit&& visit) const {
    for (int i = place_.bar; i < place_.bar + place_.bars; ++i) {
      const Bar& bar = material_.written().bars.at(static_cast<std::size_t>(i));
      int voice = 0;
      for (const Note& note : bar.notes) {
        if (!note.is_rest() && (voice == 0 || note.voice < voice)) voice = note.voice;
      }
      for (const Note& note : bar.notes) {
        if (note.voice == voice && !note.is_rest() && !note.in_chord && !note.grace && !note.cue &&
            note.duration > Beats(0)) {
          visit(note);
        }
      }
    }
  }

  int string_for(const Note& note) const {
    const int marked = string_of_ ? string_of_(note.id) : 0;
    if (marked >= 1 && marked <= 4) return marked;
    const auto stop =
        first_learnt_stop(*material_.instrument, sounding(note.pitch, material_.transposition()));
    return stop ? stop->string : 1;
  }

  SpelledPitch open_written(int string) const {
    return written_pitch(material_.instrument->open(string), material_.transposition());
  }

  const Material& material_;
  const DrillPlace& place_;
  const StringOf& string_of_;
  Ground ground_;
  std::vector<std::string> numbers_;
  std::vector<Phrase> lines_;
  std::vector<Drill> made_;
};

}  // namespace

std::string_view name(Trouble trouble) {
  constexpr std::string_view names[] = {
      "rhythm",     "twin",   "crossing",   "shift", "reach",      "slur", "long-note",
      "fast-notes", "bowing", "intonation", "notes", "separation", "other"};
  return names[static_cast<std::size_t>(trouble)];
}

std::vector<Drill> drills(const Material& material, const DrillPlace& place,
                          const StringOf& string_of) {
  return Maker(material, place, string_of).make();
}

}  // namespace endpin
