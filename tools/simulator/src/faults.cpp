#include "endpin/simulator/faults.h"

#include <algorithm>
#include <array>
#include <numeric>

#include "fault_edits.h"

namespace endpin::simulator {
namespace {

constexpr std::array<std::string_view, fault_kinds> names{"missed note",
                                                          "doubled note",
                                                          "neighbour note",
                                                          "wrong octave",
                                                          "forgotten accidental",
                                                          "added accidental",
                                                          "extra note",
                                                          "flat note",
                                                          "sharp note",
                                                          "one finger low",
                                                          "string low",
                                                          "short-held",
                                                          "final note cut",
                                                          "not separated",
                                                          "gap in slur",
                                                          "slur not played",
                                                          "uneven eighths",
                                                          "bar played as its twin",
                                                          "wrong rhythm",
                                                          "early note",
                                                          "late note",
                                                          "late entry",
                                                          "rest cut short",
                                                          "hesitation",
                                                          "rushing",
                                                          "dragging",
                                                          "stop and restart",
                                                          "restart of the same bar",
                                                          "skipped bar",
                                                          "repeat left out",
                                                          "bar sat out",
                                                          "two wrong notes in a row",
                                                          "bar by a step",
                                                          "wrong first note",
                                                          "bar twice as fast",
                                                          "bar half as fast",
                                                          "held twice as long",
                                                          "beat lost",
                                                          "no dot played",
                                                          "whole take flat",
                                                          "whole take slow",
                                                          "start in the middle",
                                                          "stopped early",
                                                          "open string touched",
                                                          "scratch",
                                                          "slow attacks",
                                                          "held for seconds",
                                                          "lightly swung"};

}  // namespace

std::string_view name(Fault fault) { return names[static_cast<std::size_t>(fault)]; }

std::optional<std::size_t> Edit::pick(const std::function<bool(std::size_t)>& wanted) {
  std::vector<std::size_t> places;
  for (std::size_t i = 2; i + 2 < size(); ++i) {
    if (wanted(i)) places.push_back(i);
  }
  if (places.empty()) return std::nullopt;
  return places[static_cast<std::size_t>(random.whole(0, static_cast<int>(places.size()) - 1))];
}

void Edit::expect(FindingKind kind, std::vector<int> notes) {
  plan.findings.push_back({kind, std::move(notes)});
}
void Edit::tolerate(FindingKind kind, std::vector<int> notes) {
  plan.tolerated.push_back({kind, std::move(notes)});
}
void Edit::tolerate_each(FindingKind kind, const std::vector<int>& notes) {
  for (const int note : notes) tolerate(kind, {note});
}
void Edit::tolerate_timing(const std::vector<int>& notes) {
  for (const auto kind : {FindingKind::early, FindingKind::late, FindingKind::uneven,
                          FindingKind::short_held, FindingKind::hesitation}) {
    tolerate(kind, notes);
  }
}

void Edit::shift(std::size_t from, double quarters) {
  for (std::size_t i = from; i < size(); ++i) intent(i).at += quarters;
}

bool Edit::joined_any(std::size_t i) const {
  return plan.intents[i].joined || (i + 1 < size() && plan.intents[i + 1].joined);
}
bool Edit::alone(std::size_t i) const {
  const auto at = plan.intents[i].at;
  const bool chord =
      (i > 0 && plan.intents[i - 1].at == at) || (i + 1 < size() && plan.intents[i + 1].at == at);
  return !chord && !joined_any(i);
}

std::vector<std::size_t> Edit::bar_starts() const {
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < timeline.notes.size(); ++i) {
    const bool fresh = i == 0 || note(i).bar != note(i - 1).bar || note(i).pass != note(i - 1).pass;
    if (fresh) starts.push_back(i);
  }
  return starts;
}
std::pair<std::size_t, std::size_t> Edit::bar_of(std::size_t i) const {
  const auto starts = bar_starts();
  const auto after = std::upper_bound(starts.begin(), starts.end(), i);
  return {*(after - 1), after == starts.end() ? timeline.notes.size() : *after};
}

std::optional<std::pair<std::size_t, std::size_t>> Edit::pick_bar() {
  const auto starts = bar_starts();
  if (starts.size() < 6) return std::nullopt;
  const auto bar = static_cast<std::size_t>(random.whole(2, static_cast<int>(starts.size()) - 4));
  return std::pair{starts[bar], starts[bar + 1]};
}

std::vector<int> indices(std::size_t from, std::size_t to) {
  std::vector<int> out(to - from);
  std::iota(out.begin(), out.end(), static_cast<int>(from));
  return out;
}

std::optional<Plan> with_fault(const Timeline& timeline, const Plan& plan, Fault fault,
                               Random random) {
  Edit edit{timeline, plan, random};
  const bool done = edit_pitch(edit, fault) || edit_length(edit, fault) || edit_time(edit, fault) ||
                    edit_order(edit, fault) || edit_harmless(edit, fault);
  if (!done) return std::nullopt;
  return std::move(edit.plan);
}

}  // namespace endpin::simulator
