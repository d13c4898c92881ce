#pragma once

#include <optional>
#include <vector>

#include "align/observations.h"

namespace endpin::listen {

/// The level in decibels that `share` (0…1) of the frames between two times do not exceed; of the
/// floor where there are none.
double level_not_exceeded(const Observations& seen, double from_s, double to_s, double share);

/// The level of a tone by those of its frames, all in decibels: what most of the frames do not
/// exceed in which it sounds. A short note before a rest may fill little of the time that is its.
/// REQUIRES: !db.empty(). O(n).
double tone_level(std::vector<double> db);

/// Decibels by which `midi` has sunk shortly before the next note begins, below what it sounded
/// like in its place; where its pitch is no longer there it has sunk to the noise. A bow that stays
/// on the string loses a little; silence, rooms and ringing strings lose more the longer they last.
/// Empty: the place is too short to say. Never below 0.
std::optional<double> fall_before_next(const Observations& seen, int midi, double onset_s,
                                       double next_s);

/// `midi` still stands there well after `offset_s`, hardly softer than it was: where the bow left
/// it can't be told. False where the next note begins too soon to say.
bool sounds_past(const Observations& seen, int midi, double onset_s, double offset_s,
                 double next_s);

}  // namespace endpin::listen
