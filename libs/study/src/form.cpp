#include "endpin/study/form.h"

#include <algorithm>
#include <array>
#include <map>
#include <tuple>

#include "bars.h"

namespace endpin {
namespace {

using study_internal::WrittenBar;

/// What a bar sounds like: equal for bars that are alike.
using Content = std::vector<std::tuple<Beats, Beats, int>>;
using Rhythm = std::vector<std::pair<Beats, Beats>>;

constexpr std::size_t longest_phrase = 8;
constexpr std::size_t most_looked_at = 16;  // earlier occurrences of a bar

struct Line {
  std::vector<WrittenBar> bars;
  std::vector<int> content;  // a number for each bar; like bars have the same
  std::vector<int> rhythm;
  std::vector<double> closing;     // 0 … 1: the bar comes to rest
  std::vector<bool> section_ends;  // a repeat or a jump follows
};

// 0 where a quarter of the bar or less goes to its last note and the rest after it, 1 from three
// quarters on.
double closing(const WrittenBar& bar) {
  if (bar.notes.empty()) return 1;
  const Beats left = bar.start + bar.length - bar.notes.back()->onset;
  return std::clamp(2 * (left / bar.length).to_double() - 0.5, 0.0, 1.0);
}

template <typename T>
int number_of(std::map<T, int>& numbers, T value) {
  return numbers.emplace(std::move(value), static_cast<int>(numbers.size())).first->second;
}

Line read_line(const Timeline& timeline) {
  Line line;
  line.bars = study_internal::written_bars(timeline);
  std::map<Content, int> contents;
  std::map<Rhythm, int> rhythms;
  for (const WrittenBar& bar : line.bars) {
    Content content;
    Rhythm rhythm;
    for (const TimelineNote* note : bar.notes) {
      const Beats at = bar.begins + note->onset - bar.start;
      content.emplace_back(at, note->duration, note->midi);
      rhythm.emplace_back(at, note->duration);
    }
    line.content.push_back(number_of(contents, std::move(content)));
    line.rhythm.push_back(number_of(rhythms, std::move(rhythm)));
    line.closing.push_back(closing(bar));
    const auto next = static_cast<std::size_t>(bar.index) + 1;
    line.section_ends.push_back(next >= timeline.bars.size() ||
                                timeline.bars[next].written_index != bar.written + 1);
  }
  return line;
}

// A short bar before the beat belongs to the bar that it leads into.
bool is_upbeat(const WrittenBar& bar) { return bar.begins > Beats(0); }

// How many bars from `i` on are those from `k` on; not beyond `limit`.
std::size_t run(const Line& line, std::size_t k, std::size_t i, std::size_t limit) {
  std::size_t length = 0;
  while (i + length < line.bars.size() && k + length < i && length < limit &&
         line.content[k + length] == line.content[i + length]) {
    ++length;
  }
  return length;
}

struct Earlier {
  std::size_t at = 0;
  std::size_t length = 0;  // 0: never before
};

// For each bar the longest run that begins there and was heard before, beginning anew.
std::vector<Earlier> earlier_runs(const Line& line, std::size_t limit) {
  std::map<int, std::vector<std::size_t>> places;
  std::vector<Earlier> runs(line.bars.size());
  for (std::size_t i = 0; i < line.bars.size(); ++i) {
    std::vector<std::size_t>& before = places[line.content[i]];
    for (const std::size_t k : before) {
      if (i > 0 && k > 0 && line.content[k - 1] == line.content[i - 1]) continue;
      const std::size_t length = run(line, k, i, limit);
      if (length > runs[i].length) runs[i] = {k, length};
    }
    if (before.size() < most_looked_at) before.push_back(i);
  }
  return runs;
}

// Costs of a phrase by its bars (ours): four is usual, two and eight are common, odd ones seldom.
constexpr std::array<double, longest_phrase + 1> length_cost{9,   1.6, 0.7, 1.0, 0,
                                                             1.0, 0.8, 1.3, 0.6};
constexpr double closing_gain = 0.8;
constexpr double return_gain = 0.25;  // a bar that comes back, three at most
constexpr double cut_cost = 1000;     // no phrase goes over a repeat

double phrase_cost(const Line& line, const std::vector<Earlier>& runs, std::size_t from,
                   std::size_t to) {
  const std::size_t upbeat = is_upbeat(line.bars[from]) ? 1 : 0;
  const std::size_t length = to - from - upbeat;
  double cost = length_cost[std::min(length, longest_phrase)];
  cost -= closing_gain * line.closing[to - 1];
  cost -= return_gain * static_cast<double>(std::min<std::size_t>(runs[from].length, 3));
  for (std::size_t bar = from; bar + 1 < to; ++bar) {
    if (line.section_ends[bar]) cost += cut_cost;
  }
  if (to < line.bars.size() && is_upbeat(line.bars[to - 1]) && to - from > 1) cost += 2;
  return cost;
}

// Where phrases begin, and the end.
std::vector<std::size_t> cuts(const Line& line) {
  const std::size_t n = line.bars.size();
  const auto runs = earlier_runs(line, longest_phrase);
  std::vector<double> best(n + 1, 1e18);
  std::vector<std::size_t> from(n + 1, 0);
  best[0] = 0;
  for (std::size_t to = 1; to <= n; ++to) {
    for (std::size_t length = 1; length <= std::min(to, longest_phrase + 1); ++length) {
      const double cost = best[to - length] + phrase_cost(line, runs, to - length, to);
      if (cost < best[to]) best[to] = cost, from[to] = to - length;
    }
  }
  std::vector<std::size_t> places{n};
  while (places.back() > 0) places.push_back(from[places.back()]);
  std::reverse(places.begin(), places.end());
  return places;
}

// Without the upbeat, which often differs.
std::pair<std::size_t, std::size_t> whole_bars(const Line& line, std::size_t from, std::size_t to) {
  return {from + (is_upbeat(line.bars[from]) && to - from > 1 ? 1 : 0), to};
}

// 1 where all bars are alike; a bar of the same rhythm alone counts a fifth.
double alike(const Line& line, std::pair<std::size_t, std::size_t> a,
             std::pair<std::size_t, std::size_t> b) {
  const std::size_t bars = std::max(a.second - a.first, b.second - b.first);
  const std::size_t common = std::min(a.second - a.first, b.second - b.first);
  double sum = 0;
  for (std::size_t i = 0; i < common; ++i) {
    if (line.content[a.first + i] == line.content[b.first + i]) {
      sum += 1;
    } else if (line.rhythm[a.first + i] == line.rhythm[b.first + i]) {
      sum += 0.2;
    }
  }
  return bars == 0 ? 0 : sum / static_cast<double>(bars);
}

constexpr double same_letter = 0.5;        // half of its bars are the letter's
constexpr std::size_t most_compared = 26;  // letters, and versions of each

std::string letter_of(std::size_t number) {
  const std::string letter(1, static_cast<char>('A' + number % 26));
  return number < 26 ? letter : letter + std::to_string(number / 26 + 1);
}

class Lettering {
 public:
  explicit Lettering(const Line& line) : line_(line) {}

  FormPhrase name(std::size_t from, std::size_t to) {
    const auto bars = whole_bars(line_, from, to);
    FormPhrase phrase;
    phrase.from = line_.bars[bars.first].number;
    phrase.to = line_.bars[to - 1].number;
    phrase.first_bar = line_.bars[from].written;
    phrase.last_bar = line_.bars[to - 1].written;
    phrase.times = line_.bars[bars.first].times;
    const auto [letter, variant] = find(bars);
    phrase.letter = letter_of(letter);
    phrase.variant = variant;
    return phrase;
  }

 private:
  using Bars = std::pair<std::size_t, std::size_t>;

  std::pair<std::size_t, int> find(Bars bars) {
    double best = same_letter;
    std::size_t letter = letters_.size();
    for (std::size_t l = 0; l < std::min(letters_.size(), most_compared); ++l) {
      for (std::size_t v = 0; v < std::min(letters_[l].size(), most_compared); ++v) {
        const double likeness = alike(line_, letters_[l][v], bars);
        if (likeness == 1) return {l, static_cast<int>(v)};
        if (likeness > best || (likeness == best && letter == letters_.size())) {
          best = likeness;
          letter = l;
        }
      }
    }
    if (letter == letters_.size()) letters_.emplace_back();
    letters_[letter].push_back(bars);
    return {letter, static_cast<int>(letters_[letter].size()) - 1};
  }

  const Line& line_;
  std::vector<std::vector<Bars>> letters_;
};

std::string map_of(const std::vector<FormPhrase>& phrases) {
  std::string map;
  for (std::size_t i = 0; i < phrases.size(); ++i) {
    map += (i > 0 ? " " : "") + phrase_name(phrases[i]);
  }
  return map;
}

constexpr std::size_t most_returns = 8;
constexpr std::size_t longest_return = 64;

std::vector<ReturningBars> returns(const Line& line) {
  const auto runs = earlier_runs(line, longest_return);
  std::vector<ReturningBars> list;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    if (runs[i].length < 2) continue;
    const auto last = runs[i].length - 1;
    list.push_back({line.bars[i].number, line.bars[i + last].number, line.bars[runs[i].at].number,
                    line.bars[runs[i].at + last].number, static_cast<int>(runs[i].length)});
    i += last;
  }
  std::stable_sort(list.begin(), list.end(),
                   [](const ReturningBars& a, const ReturningBars& b) { return a.bars > b.bars; });
  if (list.size() > most_returns) list.resize(most_returns);
  return list;
}

}  // namespace

std::string phrase_name(const FormPhrase& phrase) {
  constexpr std::array<std::string_view, 4> primes{"", "′", "″", "‴"};
  if (phrase.variant < 4) {
    return phrase.letter + std::string(primes[static_cast<std::size_t>(phrase.variant)]);
  }
  return phrase.letter + "(" + std::to_string(phrase.variant) + ")";
}

Form find_form(const Timeline& timeline) {
  const Line line = read_line(timeline);
  Form form;
  if (line.bars.empty()) return form;
  const auto places = cuts(line);
  Lettering lettering(line);
  for (std::size_t i = 0; i + 1 < places.size(); ++i) {
    form.phrases.push_back(lettering.name(places[i], places[i + 1]));
  }
  form.returns = returns(line);
  form.map = map_of(form.phrases);
  return form;
}

}  // namespace endpin
