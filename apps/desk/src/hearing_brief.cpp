#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "hear_take.h"

namespace endpin::desk {
namespace {

// The value that `share` of them lie below.
std::optional<double> quantile(std::vector<double> values, double share) {
  if (values.empty()) return std::nullopt;
  const auto at = static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5);
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(at), values.end());
  return values[at];
}

// Work before good, then what is surest.
const Finding* first_to_say(const std::vector<ItemHearing>& heard) {
  const Finding* chosen = nullptr;
  const auto rank = [](const Finding& f) {
    return std::pair(tone(f.kind) == Tone::work ? 1 : 0, f.confidence);
  };
  for (const ItemHearing& one : heard) {
    for (const Finding& finding : one.hearing.findings) {
      if (chosen == nullptr || rank(finding) > rank(*chosen)) chosen = &finding;
    }
  }
  return chosen;
}

// A take of a drill alone is a good take, though nothing of the piece is in it.
HearingStatus status(const std::vector<ItemHearing>& heard) {
  const bool any = std::any_of(heard.begin(), heard.end(), [](const ItemHearing& one) {
    return one.hearing.status == HearingStatus::ok;
  });
  return any ? HearingStatus::ok : heard.front().hearing.status;
}

std::map<std::string, std::string> kinds_by_bar(const Hearing& hearing) {
  std::map<std::string, std::set<std::string>> sets;
  for (const Finding& finding : hearing.findings) {
    if (tone(finding.kind) != Tone::work) continue;
    for (const std::string& bar : finding.bars) sets[bar].emplace(name(finding.kind));
  }
  std::map<std::string, std::string> joined;
  for (const auto& [bar, kinds] : sets) {
    for (const std::string& kind : kinds) joined[bar] += (joined[bar].empty() ? "" : " ") + kind;
  }
  return joined;
}

double note_end(const HeardNote& note) {
  return note.offset ? note.offset->value() : note.onset.value();
}

}  // namespace

book::HeardBrief brief(const std::vector<ItemHearing>& heard) {
  const Hearing& hearing = heard.front().hearing;
  book::HeardBrief b;
  b.status = name(status(heard));
  if (const Finding* finding = first_to_say(heard)) b.line = finding->says;
  for (const ItemHearing& one : heard) {
    for (const Finding& finding : one.hearing.findings) {
      ++(tone(finding.kind) == Tone::work ? b.work : b.good);
    }
  }
  b.bpm = hearing.tempo.bpm;
  b.clean_bpm = hearing.tempo.clean_bpm;
  std::vector<double> cents;
  std::vector<double> deviations;
  std::vector<double> ratios;
  for (const NoteHearing& note : hearing.notes) {
    if (note.state != NoteState::heard || !note.heard) continue;
    if (note.heard->intonation) cents.push_back(note.heard->intonation->value());
    if (note.heard->deviation_ms) deviations.push_back(std::abs(*note.heard->deviation_ms));
    if (note.heard->sounding_ratio) ratios.push_back(*note.heard->sounding_ratio);
  }
  b.intonation_cents = quantile(cents, 0.5);
  if (cents.size() >= 4) b.spread_cents = (*quantile(cents, 0.75) - *quantile(cents, 0.25)) / 2;
  b.deviation_ms = quantile(deviations, 0.5);
  b.sounding_ratio = quantile(ratios, 0.5);
  b.bars = static_cast<int>(bars(hearing).size());
  return b;
}

std::vector<book::HeardBar> bars(const Hearing& hearing) {
  const auto kinds = kinds_by_bar(hearing);
  std::vector<book::HeardBar> found;
  for (const NoteHearing& note : hearing.notes) {
    if (!note.heard) continue;
    const double from = note.heard->onset.value();
    if (found.empty() || found.back().bar != note.bar || found.back().pass != note.pass) {
      const auto kind = kinds.find(note.bar);
      found.push_back(
          {note.bar, note.pass, from, from, {}, {}, {}, kind == kinds.end() ? "" : kind->second});
    }
    found.back().from_s = std::min(found.back().from_s, from);
    found.back().to_s = std::max(found.back().to_s, note_end(*note.heard));
  }
  for (book::HeardBar& bar : found) {
    for (const BarHearing& measured : hearing.bars) {
      if (measured.bar != bar.bar || measured.pass != bar.pass) continue;
      if (measured.intonation) bar.intonation_cents = measured.intonation->value();
      bar.deviation_ms = measured.deviation_ms;
      bar.sounding_ratio = measured.sounding_ratio;
    }
  }
  return found;
}

}  // namespace endpin::desk
