#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "endpin/simulator/faults.h"

namespace endpin::simulator {

/// What a fault needs to put itself into a plan. Intent i stands for timeline note i at the start.
struct Edit {
  const Timeline& timeline;
  Plan plan;
  Random random;

  std::size_t size() const { return plan.intents.size(); }
  Intent& intent(std::size_t i) { return plan.intents[i]; }
  const TimelineNote& note(std::size_t i) const { return timeline.notes[i]; }
  /// An intent that fulfils `wanted`, away from the first and last two; a chance pick.
  std::optional<std::size_t> pick(const std::function<bool(std::size_t)>& wanted);
  void expect(FindingKind kind, std::vector<int> notes);
  void tolerate(FindingKind kind, std::vector<int> notes);
  /// The same, be it said of each of them.
  void tolerate_each(FindingKind kind, const std::vector<int>& notes);
  /// Every way in which rhythm can be said to be off at these notes.
  void tolerate_timing(const std::vector<int>& notes);
  /// Moves all intents from place `from` on by `quarters`.
  void shift(std::size_t from, double quarters);
  bool alone(std::size_t i) const;       ///< no chord, no slur at either side
  bool joined_any(std::size_t i) const;  ///< part of a slur
  /// First and one past the last intent of the bar that intent i is in.
  std::pair<std::size_t, std::size_t> bar_of(std::size_t i) const;
  /// The same of a bar of chance, none of the first two nor of the last three; empty in a short
  /// tune.
  std::optional<std::pair<std::size_t, std::size_t>> pick_bar();
  /// Begins of bars, as intents.
  std::vector<std::size_t> bar_starts() const;
};

std::vector<int> indices(std::size_t from, std::size_t to);

/// Each tries to put one fault in; false where the timeline offers no place for it.
bool edit_pitch(Edit& edit, Fault fault);
bool edit_length(Edit& edit, Fault fault);
bool edit_time(Edit& edit, Fault fault);
bool edit_order(Edit& edit, Fault fault);
bool edit_harmless(Edit& edit, Fault fault);

}  // namespace endpin::simulator
