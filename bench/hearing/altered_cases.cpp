#include "altered_cases.h"

#include <algorithm>
#include <functional>
#include <string>

namespace endpin::evaluation {
namespace {

using namespace simulator;

Altered unaltered(const Timeline& timeline) {
  Altered same{timeline, {}};
  for (const auto& note : timeline.notes) same.original.push_back(note.index);
  return same;
}

/// Altered once more: places are those of the first timeline.
Altered and_then(const Altered& before, Altered after) {
  for (int& index : after.original) {
    if (index >= 0) index = before.original[static_cast<std::size_t>(index)];
  }
  return after;
}

/// Without a bar in any pass: one that stands in another pass is no foreign one.
Altered without_written_bar(const Timeline& timeline, int bar) {
  const int written = timeline.bars[static_cast<std::size_t>(bar)].written_index;
  Altered altered = unaltered(timeline);
  for (int b = static_cast<int>(timeline.bars.size()); b-- > 0;) {
    if (altered.timeline.bars[static_cast<std::size_t>(b)].written_index != written) continue;
    altered = and_then(altered, without_bar(altered.timeline, b));
  }
  return altered;
}

/// `alter(timeline, place)` for a written note in all passes: where one pass tells what was played,
/// it is no fault. From the last to the first, so that no place moves.
template <typename Alter>
Altered in_every_pass(const Timeline& timeline, int index, const Alter& alter) {
  const std::string& written = timeline.notes[static_cast<std::size_t>(index)].id;
  Altered altered = unaltered(timeline);
  for (int k = static_cast<int>(timeline.notes.size()); k-- > 0;) {
    if (timeline.notes[static_cast<std::size_t>(k)].id != written) continue;
    altered = and_then(altered, alter(altered.timeline, k));
  }
  return altered;
}

/// Where a note of the timeline stands in the altered one.
int place_of(const Altered& altered, int index) {
  const auto& original = altered.original;
  return static_cast<int>(std::find(original.begin(), original.end(), index) - original.begin());
}

/// Makes the cases of one recording.
class Cases {
 public:
  Cases(const Base& base, Random random) : base_(base), random_(random) {}

  std::vector<AlteredCase> make(int each) {
    for (int i = 0; i < each; ++i) {
      pitch();
      note_put_in();
      note_taken_out();
      rhythm();
      bar_put_in();
      bar_left_out_of_score();
      bar_cut_from_sound();
      go_back();
      start_in_the_middle();
    }
    return std::move(cases_);
  }

 private:
  const Timeline& score() const { return base_.recording.timeline; }
  const Audio& audio() const { return base_.recording.audio; }
  double onset(int index) const { return base_.truth.at(index).first; }
  double offset(int index) const { return base_.truth.at(index).second; }
  int midi(int index) const { return score().notes[static_cast<std::size_t>(index)].midi; }
  Beats length(int index) const { return score().notes[static_cast<std::size_t>(index)].duration; }

  std::optional<int> pick(const std::function<bool(int)>& wanted) {
    std::vector<int> places;
    for (const int i : base_.alone) {
      if (wanted(i)) places.push_back(i);
    }
    if (places.empty()) return std::nullopt;
    return places[static_cast<std::size_t>(random_.whole(0, static_cast<int>(places.size()) - 1))];
  }
  AlteredCase& add(const char* name, Altered altered, std::vector<FindingKind> kinds,
                   std::vector<int> notes, double from, double to) {
    cases_.push_back({name, std::move(altered), audio(), std::move(kinds), std::move(notes), from,
                      to, std::nullopt});
    return cases_.back();
  }
  void add_in_every_pass(const char* name, Altered altered, std::vector<FindingKind> kinds,
                         std::vector<int> notes, double from, double to) {
    auto& added = add(name, std::move(altered), std::move(kinds), std::move(notes), from, to);
    added.elsewhere = in_other_passes(added.score.timeline, added.notes);
  }
  static std::vector<int> in_other_passes(const Timeline& timeline, const std::vector<int>& notes) {
    std::vector<int> found;
    for (const int n : notes) {
      for (const auto& note : timeline.notes) {
        const bool same = note.id == timeline.notes[static_cast<std::size_t>(n)].id;
        if (same && note.index != n) found.push_back(note.index);
      }
    }
    return found;
  }

  void pitch() {
    const int by = (random_.chance(0.5) ? 1 : -1) * random_.whole(1, 4);
    const auto i =
        pick([&](int k) { return midi(k) + by != midi(k - 1) && midi(k) + by != midi(k + 1); });
    if (!i) return;
    const auto change = [&](const Timeline& t, int k) { return with_pitch(t, k, by); };
    add_in_every_pass("pitch changed", in_every_pass(score(), *i, change),
                      {FindingKind::wrong_note, FindingKind::missed_accidental}, {*i}, onset(*i),
                      offset(*i));
  }
  void note_put_in() {
    const auto i = pick([](int) { return true; });
    if (!i) return;
    int pitch = 0;
    do {
      pitch = midi(*i) + random_.whole(-5, 5);
    } while (pitch == midi(*i) || pitch == midi(*i + 1));
    auto altered = in_every_pass(
        score(), *i, [&](const Timeline& t, int k) { return with_note_after(t, k, pitch); });
    const int place = place_of(altered, *i) + 1;
    add_in_every_pass("note put in", std::move(altered), {FindingKind::missed}, {place}, onset(*i),
                      offset(*i + 1));
  }
  void note_taken_out() {
    const auto i = pick([&](int k) { return midi(k) != midi(k - 1); });
    if (!i) return;
    auto altered = in_every_pass(score(), *i, without_note);
    const int before = place_of(altered, *i - 1);
    add_in_every_pass("note taken out", std::move(altered), {FindingKind::extra},
                      {before, before + 1}, onset(*i), offset(*i));
  }
  // Two notes of one length may be played nearer to three to one than to evenly: then the altered
  // score tells what was played.
  bool played_even(int first) const {
    const double share = (onset(first + 1) - onset(first)) / (onset(first + 2) - onset(first));
    return std::abs(share - 0.5) < std::abs(share - 0.75);
  }
  void rhythm() {
    const auto i = pick([&](int k) {
      return base_.alone.contains(k + 1) && length(k) == length(k + 1) && midi(k) != midi(k + 1) &&
             played_even(k);
    });
    if (!i) return;
    add_in_every_pass(
        "rhythm changed", in_every_pass(score(), *i, with_uneven_pair),
        {FindingKind::early, FindingKind::late, FindingKind::uneven, FindingKind::other_bar_rhythm},
        {*i, *i + 1}, onset(*i), offset(*i + 1));
  }

  /// A bar whose notes and the first after it have a truth; not the first.
  std::optional<int> some_bar() {
    std::vector<int> bars;
    for (int b = 1; b + 1 < static_cast<int>(score().bars.size()); ++b) {
      const auto [from, to] = notes_of_bar(score(), b);
      bool known = from > 0;
      for (int i = from; known && i <= to; ++i) known = base_.truth.contains(i);
      if (known && base_.truth.contains(from - 1)) bars.push_back(b);
    }
    if (bars.empty()) return std::nullopt;
    return bars[static_cast<std::size_t>(random_.whole(0, static_cast<int>(bars.size()) - 1))];
  }
  std::vector<int> range(int from, int to) const {
    std::vector<int> notes;
    for (int i = from; i < to; ++i) notes.push_back(i);
    return notes;
  }

  int written(int bar) const { return score().bars[static_cast<std::size_t>(bar)].written_index; }

  void bar_put_in() {
    const auto bar = some_bar();
    if (!bar) return;
    auto altered = with_bar_before(score(), *bar, *bar, random_.chance(0.5) ? 3 : -4);
    const auto [from, to] = notes_of_bar(altered.timeline, *bar);
    const double place = onset(notes_of_bar(score(), *bar).first);
    add("bar put in", std::move(altered), {FindingKind::missed}, range(from, to), place - 0.3,
        place + 0.3);
  }
  void bar_left_out_of_score() {
    const auto bar = some_bar();
    if (!bar) return;
    const auto [from, to] = notes_of_bar(score(), *bar);
    auto altered = without_written_bar(score(), *bar);
    std::vector<int> around;
    for (std::size_t i = 1; i < altered.original.size(); ++i) {
      const auto place = static_cast<int>(i);
      if (altered.original[i] > altered.original[i - 1] + 1) {
        around.insert(around.end(), {place - 1, place});
      }
    }
    add("bar taken out of the score", std::move(altered), {FindingKind::extra}, std::move(around),
        onset(from), offset(to - 1));
  }
  void bar_cut_from_sound() {
    const auto bar = some_bar();
    if (!bar) return;
    const auto [from, to] = notes_of_bar(score(), *bar);
    const double begin = onset(from) - 0.01;
    const double end = onset(to) - 0.01;
    auto& c = add("bar cut from the sound", unaltered(score()), {FindingKind::missed},
                  range(from, to), begin - 0.3, begin + 0.3);
    c.audio = cut(audio(), {{Seconds(0), Seconds(begin)}, {Seconds(end), audio().duration()}});
    c.cut_from_s = end;
    c.cut_by_s = begin - end;
  }
  void go_back() {
    const auto bar = some_bar();
    if (!bar) return;
    const auto [from, to] = notes_of_bar(score(), *bar);
    if (to - from < 3) return;  // too few to stop among them
    const int stop = random_.whole(from + 2, to - 1);
    const double back = onset(from) - 0.01;
    const double end = onset(stop + 1) - 0.02;
    auto& c = add("gone back to the bar", unaltered(score()), {FindingKind::restart},
                  range(from, stop + 1), end - 0.3, end + 0.3);
    c.audio = cut(audio(), {{Seconds(0), Seconds(end)}, {Seconds(back), audio().duration()}});
    c.restart = {from, end + 0.01};
    c.cut_from_s = back;
    c.cut_by_s = end - back;
  }
  void start_in_the_middle() {
    // At the first bar of a repeat nobody can tell which pass it is.
    const auto bar = some_bar();
    if (!bar || written(*bar) == written(0)) return;
    const double begin = onset(notes_of_bar(score(), *bar).first) - 0.15;
    auto& c = add("started in the middle", unaltered(score()), {}, {}, -10, -9);
    c.audio = cut(audio(), {{Seconds(begin), audio().duration()}});
    c.cut_from_s = 0;
    c.cut_by_s = -begin;
  }

  const Base& base_;
  Random random_;
  std::vector<AlteredCase> cases_;
};

}  // namespace

std::vector<AlteredCase> altered_cases(const Base& base, std::uint64_t seed, int each) {
  return Cases(base, Random(seed)).make(each);
}

Base base_of(const Recording& recording) {
  Base base{recording, hear_take(recording.timeline, recording.audio).hearing, {}, {}};
  for (const auto& row : recording.truth) {
    if (!row.complete) continue;
    for (const int i : row.indices) {
      base.truth[i] = {row.onset.value(), row.offset.value()};
    }
  }
  const auto& notes = recording.timeline.notes;
  const auto chord = [&](int i) {
    return notes[static_cast<std::size_t>(i)].onset == notes[static_cast<std::size_t>(i - 1)].onset;
  };
  for (const auto& [i, times] : base.truth) {
    const bool inside = base.truth.contains(i - 1) && base.truth.contains(i + 1);
    if (inside && !chord(i) && !chord(i + 1)) base.alone.insert(i);
  }
  return base;
}

}  // namespace endpin::evaluation
