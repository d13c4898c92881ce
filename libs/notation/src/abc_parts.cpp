#include "abc_parts.h"

#include <algorithm>
#include <map>

#include "abc_scanner.h"
#include "fmt/format.h"

namespace endpin::notation {
namespace {

constexpr std::size_t longest_order = 1000;

std::string expand_group(AbcScanner& in, int depth) {
  std::string result;
  constexpr int deepest = 16;
  while (!in.at_end() && in.peek() != ')') {
    std::string item;
    const char c = in.next();
    if (c == '(' && depth < deepest) {
      item = expand_group(in, depth + 1);
      in.take(')');
    } else if (std::isalpha(static_cast<unsigned char>(c))) {
      item = c;
    } else {
      continue;
    }
    const int times = std::min(in.number().value_or(1), 100);
    for (int i = 0; i < times && result.size() + item.size() <= longest_order; ++i) result += item;
  }
  return result;
}

/// Bars [from, to) of each named part; bars before the first label belong to no part.
struct Stretch {
  std::size_t from;
  std::size_t to;
};

std::map<char, Stretch> stretches(const std::vector<PartLabel>& labels, std::size_t bars) {
  std::map<char, Stretch> result;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const std::size_t end = i + 1 < labels.size() ? labels[i + 1].bar : bars;
    if (!labels[i].name.empty()) result.emplace(labels[i].name[0], Stretch{labels[i].bar, end});
  }
  return result;
}

/// Signatures at a stretch's beginning, since it may now follow another.
void restate_signatures(Bar& bar, const Context& context) {
  const auto has = [&](ChangeKind kind) {
    return std::any_of(bar.changes.begin(), bar.changes.end(),
                       [&](const Change& c) { return c.kind == kind && c.at == Beats(0); });
  };
  std::vector<Change> restated;
  Change key;
  key.kind = ChangeKind::key;
  key.key = context.key;
  if (!has(ChangeKind::key)) restated.push_back(key);
  Change time;
  time.kind = ChangeKind::time;
  time.time = context.time;
  if (!has(ChangeKind::time)) restated.push_back(time);
  bar.changes.insert(bar.changes.begin(), restated.begin(), restated.end());
}

}  // namespace

std::string expanded_order(std::string_view order) {
  AbcScanner in(order);
  std::string result;
  while (!in.at_end()) {
    result += expand_group(in, 0);
    in.take(')');
  }
  return result;
}

void write_out_parts(Score& score, std::string_view order_text,
                     const std::vector<PartLabel>& labels, Messages& messages) {
  const std::string order = expanded_order(order_text);
  std::string written;
  for (const PartLabel& label : labels) {
    if (!label.name.empty()) written += label.name[0];
  }
  if (order.empty() || written.empty() || order == written) return;
  constexpr std::size_t most_bars = 20'000;
  for (Part& part : score.parts) {
    const auto parts = stretches(labels, part.bars.size());
    const std::vector<Context> all = contexts(part);
    std::vector<Bar> bars(part.bars.begin(),
                          part.bars.begin() + std::min(labels.front().bar, part.bars.size()));
    for (const char name : order) {
      const auto found = parts.find(name);
      if (found == parts.end()) {
        messages.warn(std::string(), fmt::format("P: asks for a part {} that is not there", name),
                      "It was passed over.");
        continue;
      }
      const std::size_t to = std::min(found->second.to, part.bars.size());
      for (std::size_t b = found->second.from; b < to && bars.size() < most_bars; ++b) {
        bars.push_back(part.bars[b]);
        if (b == found->second.from && bars.size() > 1) restate_signatures(bars.back(), all[b]);
      }
    }
    if (!bars.empty()) part.bars = std::move(bars);
  }
}

void number_abc_bars(Score& score) {
  for (Part& part : score.parts) {
    const std::vector<Context> all = contexts(part);
    int number = 0;
    Beats before;  // of a bar that has been split
    for (std::size_t i = 0; i < part.bars.size(); ++i) {
      Bar& bar = part.bars[i];
      const Beats full = all[i].time.bar_length();
      const bool pickup = i == 0 && bar.length < full;
      const bool second_half = before > Beats(0) && before + bar.length == full;
      bar.implicit = pickup || second_half;
      bar.number = pickup        ? "0"
                   : second_half ? fmt::format("X{}", number)
                                 : std::to_string(++number);
      before = second_half || bar.length >= full || pickup ? Beats(0) : bar.length;
    }
  }
}

}  // namespace endpin::notation
