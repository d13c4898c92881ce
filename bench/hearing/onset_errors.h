#pragma once

#include <vector>

#include "endpin/hearing/hearing.h"

#include "bootstrap.h"
#include "truth.h"

namespace endpin::measures {

/// How a note begins and so how its boundary can be told.
enum class BoundaryClass {
  after_rest,      ///< silence is written before it, or nothing precedes
  detache,         ///< a new stroke at another pitch
  slur,            ///< inside a slur: the pitch changes, the bow does not
  repeated_pitch,  ///< a new stroke at the same pitch
};
inline constexpr int boundary_classes = 4;
const char* name(BoundaryClass boundary);
/// By what is written; a chord's notes share the class of its first.
std::vector<BoundaryClass> boundary_classes_of(const Timeline& timeline);

/// One true note and what was found at its index.
struct NoteError {
  int index = 0;
  BoundaryClass boundary = BoundaryClass::detache;
  bool found = false;  ///< the state is heard (or wrong, where the truth is wrong) with an onset
  double onset_s = 0;  ///< found minus true; meaningful if found
  bool has_offset = false;
  double offset_s = 0;  ///< found minus true
  double length_s = 0;  ///< true length
  NoteState state = NoteState::uncertain;
};

/// Each true note against the hearing at the same index; the nearest of a unison's.
std::vector<NoteError> note_errors(const Timeline& timeline, const std::vector<TrueNote>& truth,
                                   const std::vector<NoteHearing>& heard);

/// Median of the found notes' signed onset errors in seconds; 0 if none was found.
double bias(const std::vector<NoteError>& errors);
/// Of all true notes, those found within `tolerance` after `taken_out` is subtracted.
double found_within(const std::vector<NoteError>& errors, Seconds tolerance, double taken_out = 0);
/// |error| after the bias is taken out, of the found notes, in seconds.
std::vector<double> absolute_errors(const std::vector<NoteError>& errors);
/// Offset error at most max(50 ms, a fifth of the true length).
bool offset_holds(const NoteError& error);

}  // namespace endpin::measures
